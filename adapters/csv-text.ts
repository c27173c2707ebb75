/** Rows of fields as CSV after RFC 4180: CRLF after each, quoted where a field needs it. */
export function csvText(rows: readonly (readonly string[])[]): string {
  return rows.map((row) => `${row.map(quoted).join(',')}\r\n`).join('');
}

function quoted(field: string): string {
  return /[",\r\n]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}
