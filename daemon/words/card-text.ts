/** Columns of a card: what a printer and a terminal take at their usual type size. */
export const CARD_WIDTH = 80;

export function rule(character: '-' | '='): string {
  return character.repeat(CARD_WIDTH);
}

/** Two texts at the two ends of a line; the right one moves below when both do not fit. */
export function leftRight(left: string, right: string): string {
  const gap = CARD_WIDTH - lengthOf(left) - lengthOf(right);
  if (gap >= 2) return `${left}${' '.repeat(gap)}${right}`;
  return [...fold(left), ...fold(right)].join('\n');
}

/**
 * Folds a text at spaces; a word longer than the width is cut. Control characters count as spaces:
 * a name must not steer a printer.
 */
export function fold(text: string, first = '', next = '', width = CARD_WIDTH): string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text
    .split(/[\s\p{Cc}]+/u)
    .flatMap((long) => pieces(long, width - lengthOf(first)))) {
    if (!empty && lengthOf(line) + 1 + lengthOf(word) > width) {
      lines.push(line);
      line = next;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  return [...lines, line].map((full) => full.trimEnd());
}

/**
 * One row of cells, two spaces apart; a negative width sets the cell to the left. A cell that is
 * too long goes on below itself, since a cut name could name another bed.
 */
export function columns(widths: readonly number[], cells: readonly string[]): string[] {
  const folded = widths.map((width, i) => fold(cells[i] ?? '', '', '', Math.abs(width)));
  const height = Math.max(...folded.map((lines) => lines.length));
  return Array.from({ length: height }, (_, row) =>
    widths
      .map((width, i) => pad(folded[i]?.[row] ?? '', width))
      .join('  ')
      .trimEnd(),
  );
}

function pad(text: string, width: number): string {
  const space = ' '.repeat(Math.max(0, Math.abs(width) - lengthOf(text)));
  return width < 0 ? `${text}${space}` : `${space}${text}`;
}

function pieces(word: string, width: number): string[] {
  const letters = [...word];
  const parts: string[] = [];
  for (let i = 0; i < letters.length; i += width) parts.push(letters.slice(i, i + width).join(''));
  return parts;
}

function lengthOf(text: string): number {
  return [...text].length;
}
