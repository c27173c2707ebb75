import { columnsOf, fold, table } from '../../words/text-columns.ts';

const INDENT = 7;

/**
 * A table in lines no wider than the terminal. Columns that have no room follow beneath their row,
 * each with its heading: `why: seedbed reaches its reserve at 09:04`.
 *
 * @param width Left out: nobody reads it in a terminal, and each row is one line.
 */
export function foldedTable(
  heading: readonly string[],
  rows: readonly (readonly string[])[],
  width?: number,
): string {
  const whole = table(heading, rows);
  if (width === undefined || widest(whole) <= width) return whole;
  const beside = columnsBeside(heading, rows, width);
  const lines = table(
    heading.slice(0, beside),
    rows.map((row) => row.slice(0, beside)),
  ).split('\n');
  const indent = ' '.repeat(Math.min(INDENT, Math.floor(width / 4)));
  const beneath = rows.map((row) =>
    heading
      .slice(beside)
      .map((title, index) => `${title}: ${row[beside + index] ?? ''}`)
      .join(', '),
  );
  return lines
    .flatMap((line, index) => {
      const rest = index === 0 ? undefined : beneath[index - 1];
      if (rest === undefined) return [line];
      return [line, ...fold(rest, width - indent.length).map((text) => indent + text)];
    })
    .join('\n');
}

/** A line of text in lines no wider than the terminal; those after the first hang. */
export function foldedText(text: string, width?: number): string[] {
  if (width === undefined || columnsOf(text) <= width) return [text];
  const own = text.length - text.trimStart().length;
  return fold(text.trimStart(), width - own, 2).map((line) => ' '.repeat(own) + line);
}

/** So many of the first columns fit beside each other; one at least. */
function columnsBeside(
  heading: readonly string[],
  rows: readonly (readonly string[])[],
  width: number,
): number {
  for (let beside = heading.length - 1; beside > 1; beside--) {
    const part = table(
      heading.slice(0, beside),
      rows.map((row) => row.slice(0, beside)),
    );
    if (widest(part) <= width) return beside;
  }
  return 1;
}

function widest(text: string): number {
  return Math.max(...text.split('\n').map(columnsOf));
}
