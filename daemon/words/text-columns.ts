/** Takes two columns of a terminal: East Asian wide characters and pictures. */
const WIDE =
  /[\u1100-\u115f\u2e80-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6]|\p{Emoji_Presentation}/u;
/** Takes none: marks that stand on the letter before. */
const MARK = /\p{Mn}|\p{Me}/u;
/** Would steer the terminal, or turn the order of what is read. */
const STEERS = /\p{Cc}|\p{Cf}|\p{Zl}|\p{Zp}/gu;

/** A text that steers no terminal: whatever others typed as name or reason is shown, never obeyed. */
export function withoutControls(text: string): string {
  return text.replace(STEERS, ' ');
}

/** Columns that a text takes in a terminal. */
export function columnsOf(text: string): number {
  let columns = 0;
  for (const letter of text) columns += columnsOfLetter(letter);
  return columns;
}

/** A text in so many columns at most; what is cut off is marked. */
export function cut(text: string, width: number): string {
  if (columnsOf(text) <= width) return text;
  if (width < 1) return '';
  let columns = 0;
  let kept = '';
  for (const letter of text) {
    columns += columnsOfLetter(letter);
    if (columns > width - 1) break;
    kept += letter;
  }
  return `${kept}…`;
}

/** A text in exactly so many columns. */
export function fill(text: string, width: number): string {
  const kept = cut(text, width);
  return kept + ' '.repeat(Math.max(0, width - columnsOf(kept)));
}

/**
 * A text over as many lines as it needs, broken between words; lines after the first hang. Gaps of
 * several blanks stay as they are within a line.
 */
export function fold(text: string, width: number, hang = 0): string[] {
  const lines: string[] = [];
  const indent = ' '.repeat(Math.min(hang, Math.max(0, width - 10)));
  let line = '';
  let gap = '';
  for (const part of text.trimEnd().split(/( +)/)) {
    if (/^ *$/.test(part)) {
      gap = part;
      continue;
    }
    if (columnsOf(line + gap + part) <= width) line += gap + part;
    else {
      if (line !== '') lines.push(line);
      line = indent + part;
    }
    gap = '';
    while (columnsOf(line) > width) {
      const head = headOf(line, width);
      lines.push(head);
      line = indent + line.slice(head.length);
    }
  }
  if (line !== '') lines.push(line);
  return lines;
}

function headOf(text: string, width: number): string {
  let columns = 0;
  let kept = '';
  for (const letter of text) {
    columns += columnsOfLetter(letter);
    if (columns > width && kept !== '') break;
    kept += letter;
  }
  return kept;
}

function columnsOfLetter(letter: string): number {
  if (MARK.test(letter)) return 0;
  return WIDE.test(letter) ? 2 : 1;
}

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
