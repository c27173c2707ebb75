import { parse } from 'csv-parse/sync';

/** A pasted table cut into cells, or why it could not be. */
export type PastedCells =
  | { ok: true; rows: string[][]; separator: 'tabs' | 'semicolons' | 'commas' }
  | { ok: false; message: string };

const MARKS = { tabs: '\t', semicolons: ';', commas: ',' } as const;

/** Cuts text from a spreadsheet or from a person's keyboard; empty lines do not count. */
export function pastedCells(text: string): PastedCells {
  const plain = text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');
  const separator = plain.includes('\t') ? 'tabs' : plain.includes(';') ? 'semicolons' : 'commas';
  try {
    const rows = parse(plain, {
      delimiter: MARKS[separator],
      // Tables of tabs come with inch marks in their cells: there a quote is a quote.
      quote: separator === 'tabs' && !/(^|\t)"[^\n]*"(\t|\n|$)/.test(plain) ? null : '"',
      relax_column_count: true,
      relax_quotes: true,
      skip_empty_lines: true,
      trim: true,
    }) as string[][];
    const filled = rows.filter((row) => row.some((cell) => cell !== ''));
    if (filled.length === 0) return { ok: false, message: 'table: is empty; paste its rows' };
    return { ok: true, separator, rows: filled.map((row) => row.map((cell) => cell.trim())) };
  } catch (error) {
    const what = (error as Error).message.replace(/\s+/g, ' ');
    return {
      ok: false,
      message: `table: cannot be cut into cells (got ${what}); check its quotes`,
    };
  }
}
