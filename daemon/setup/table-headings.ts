import type { TableColumn } from './table-columns.ts';

/** What a heading says: its column, and the unit in it. */
export interface Heading {
  text: string;
  /** Null: no known column. */
  column: TableColumn | null;
  /** Null: the heading names none. */
  unit: string | null;
}

/** The headings of a table's first row, or null when that row is no heading. */
export function headingsOf(
  row: readonly string[],
  columns: readonly TableColumn[],
): Heading[] | null {
  const headings = row.map((cell) => headingOf(cell, columns));
  const filled = headings.filter(({ text }) => text !== '');
  if (filled.some(({ text }) => /^[+-]?[\d.,]/.test(text))) return null;
  const known = filled.filter(({ column }) => column !== null);
  return known.length > 0 && known.length * 2 >= filled.length ? headings : null;
}

function headingOf(cell: string, columns: readonly TableColumn[]): Heading {
  const inBrackets = /[([]\s*([^)\]]+?)\s*[)\]]/.exec(cell)?.[1] ?? null;
  const words = plainWords(inBrackets === null ? cell : cell.replace(/[([][^)\]]*[)\]]/, ' '));
  const whole = columnFor(words, columns);
  if (whole !== null) return { text: cell, column: whole, unit: inBrackets };
  // "Flow gpm", "Spacing, ft": the last word may be the unit.
  const [last] = /\S+$/.exec(cell.replace(/[,;:]\s*/g, ' ').trim()) ?? [];
  const fewer = words
    .split(' ')
    .slice(0, -plainWords(last ?? '').split(' ').length)
    .join(' ');
  const column = inBrackets === null && last !== undefined ? columnFor(fewer, columns) : null;
  if (column?.kind !== undefined && last !== undefined) return { text: cell, column, unit: last };
  return { text: cell, column: null, unit: null };
}

function columnFor(words: string, columns: readonly TableColumn[]): TableColumn | null {
  return (
    columns.find(({ key, headings }) => words === plainWords(key) || headings.includes(words)) ??
    null
  );
}

function plainWords(text: string): string {
  return text
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim();
}
