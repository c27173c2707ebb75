import { parse } from 'csv-parse/sync';

/** A pasted table cut into cells, or why it could not be. */
export type PastedCells =
  | { ok: true; rows: string[][]; separator: 'tabs' | 'semicolons' | 'commas' }
  | { ok: false; message: string };

/** More than any table that a person pastes. */
const MOST_ROWS = 2_000;
const MOST_CELLS_OF_A_ROW = 100;
const MOST_LETTERS_OF_A_CELL = 200;

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
      to: MOST_ROWS + 1,
    }) as string[][];
    const over = tooLarge(rows);
    if (over !== null) return { ok: false, message: `table: ${over}` };
    const filled = rows.filter((row) => row.some((cell) => cell !== ''));
    if (filled.length === 0) return { ok: false, message: 'table: is empty; paste its rows' };
    return { ok: true, separator, rows: filled.map((row) => row.map((cell) => cell.trim())) };
  } catch (error) {
    const { code = 'a fault' } = error as { code?: string };
    const what = code.replace(/^CSV_/, '').replaceAll('_', ' ').toLowerCase();
    return {
      ok: false,
      message: `table: cannot be cut into cells (got ${what}); check its quotes`,
    };
  }
}

function tooLarge(rows: readonly string[][]): string | null {
  if (rows.length > MOST_ROWS) {
    return `has too many rows (got more than ${MOST_ROWS}); name a table file in the config instead`;
  }
  const wide = rows.find((row) => row.length > MOST_CELLS_OF_A_ROW);
  if (wide !== undefined) {
    return `has a row of too many cells (got ${wide.length}); paste the columns that are asked for`;
  }
  const long = rows.flat().find((cell) => cell.length > MOST_LETTERS_OF_A_CELL);
  if (long === undefined) return null;
  return `has a cell that is too long (got ${long.length} letters); check its quotes and its marks`;
}
