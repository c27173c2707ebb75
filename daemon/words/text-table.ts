/** Plain columns under a heading; numbers (cells that begin with a digit or a sign) to the right. */
export function table(heading: readonly string[], rows: readonly (readonly string[])[]): string {
  const widths = heading.map((title, column) =>
    Math.max(title.length, ...rows.map((row) => (row[column] ?? '').length)),
  );
  const right = heading.map((_, column) => rows.some((row) => /^[-+]?\d/.test(row[column] ?? '')));
  const line = (cells: readonly string[]) =>
    widths
      .map((width, column) => {
        const cell = cells[column] ?? '';
        return right[column] ? cell.padStart(width) : cell.padEnd(width);
      })
      .join('  ')
      .trimEnd();
  return [line(heading), ...rows.map(line)].join('\n');
}
