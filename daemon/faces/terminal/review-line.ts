import { terminalSafeLine } from '../../words/safe-text.ts';
import { cut, fold, withoutControls } from '../../words/text-columns.ts';

/** How loud a line is; where there is colour it shows, and nothing rests on it. */
type Tone = 'plain' | 'title' | 'chosen' | 'warn' | 'danger' | 'quiet';

/** One line of a frame. */
export interface ReviewLine {
  text: string;
  tone: Tone;
}

/** A text as a line, cut to the width. */
export function line(text: string, width: number, tone: Tone = 'plain'): ReviewLine {
  return { text: cut(withoutControls(text), width).trimEnd(), tone };
}

/** A text as lines, broken between words. */
export function paragraph(
  text: string,
  width: number,
  { tone = 'plain', hang = 0, most }: { tone?: Tone; hang?: number; most?: number } = {},
): ReviewLine[] {
  const lines = fold(withoutControls(text), width, hang).map((one) => ({ text: one, tone }));
  if (most === undefined || lines.length <= most) return lines;
  // What is cut off is marked at the end of the last line that there is room for.
  const rest = lines
    .slice(most - 1)
    .map((one) => one.text.trim())
    .join(' ');
  const indent = most === 1 ? '' : ' '.repeat(hang);
  return [...lines.slice(0, most - 1), { text: cut(indent + rest, width), tone }];
}

export const EMPTY: ReviewLine = { text: '', tone: 'plain' };

/** What a screen says, and what its keys do. */
export interface ScreenBody {
  lines: ReviewLine[];
  /** Line that has to be in sight. */
  focus?: number;
  keys: readonly string[];
}

const ESC = '\x1b[';
const BEGIN_SYNCHRONIZED_UPDATE = `${ESC}?2026h`;
const END_SYNCHRONIZED_UPDATE = `${ESC}?2026l`;
/** Select Graphic Rendition of ECMA-48. */
const SGR_CODES: Readonly<Record<Tone, string>> = {
  plain: '',
  title: '1',
  chosen: '7',
  warn: '33',
  danger: '1;31',
  quiet: '2',
};

/**
 * What to write so that a terminal which shows `shown` shows `lines`: only the lines that differ,
 * all at once where the terminal can, so that nothing flickers.
 *
 * @param shown Null when nothing is known of what it shows: everything is written.
 */
export function paint(
  shown: readonly ReviewLine[] | null,
  lines: readonly ReviewLine[],
  colour: boolean,
): string {
  const changed = lines.flatMap((line, row) => {
    const old = shown?.[row];
    if (old !== undefined && old.text === line.text && old.tone === line.tone) return [];
    return [`${ESC}${row + 1};1H${styled(line, colour)}${ESC}K`];
  });
  if (changed.length === 0) return '';
  return `${BEGIN_SYNCHRONIZED_UPDATE}${shown === null ? `${ESC}2J` : ''}${changed.join('')}${END_SYNCHRONIZED_UPDATE}`;
}

function styled({ text: told, tone }: ReviewLine, colour: boolean): string {
  const text = terminalSafeLine(told);
  const look = SGR_CODES[tone];
  return colour && look !== '' && text !== '' ? `${ESC}${look}m${text}${ESC}0m` : text;
}
