import { type Cell, type RecordTable, roundedText } from './tables/record-table.ts';

/** Heading of the column in which a row tells which of its numbers are estimates, and why. */
export const ESTIMATES_HEADING = 'estimates in this row (column: why)';

/** A table as CSV after RFC 4180: CRLF, quoted where needed; a missing number is an empty field. */
export function tableCsv({ columns, rows }: RecordTable): string {
  const hasNumbers = rows.some((row) => row.some((cell) => typeof cell !== 'string'));
  const heading = hasNumbers ? [...columns, ESTIMATES_HEADING] : columns;
  const lines = rows.map((row) => {
    const fields = row.map(fieldOf);
    return hasNumbers ? [...fields, estimatesOf(row, columns)] : fields;
  });
  return [heading, ...lines].map((line) => `${line.map(quoted).join(',')}\r\n`).join('');
}

function fieldOf(cell: Cell): string {
  return typeof cell === 'string' ? guarded(cell) : roundedText(cell);
}

/** A spreadsheet takes a text that begins so for a formula. */
function guarded(text: string): string {
  return /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
}

function estimatesOf(row: readonly Cell[], columns: readonly string[]): string {
  const byReason = new Map<string, string[]>();
  row.forEach((cell, index) => {
    if (typeof cell === 'string' || cell.estimate === null) return;
    const name = (columns[index] ?? '').replace(/ \(.*\)$/, '');
    byReason.set(cell.estimate, [...(byReason.get(cell.estimate) ?? []), name]);
  });
  return [...byReason].map(([why, names]) => `${names.join(', ')}: ${why}`).join(' | ');
}

function quoted(field: string): string {
  return /[",\r\n]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}
