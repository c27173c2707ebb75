import { terminalSafeLine } from '../words/terminal-safe.ts';
import type { ReviewLine, Tone } from './review-line.ts';

const ESC = '\x1b[';
const BEGIN_WHOLE = `${ESC}?2026h`;
const END_WHOLE = `${ESC}?2026l`;
/** Select Graphic Rendition of ECMA-48. */
const LOOKS: Readonly<Record<Tone, string>> = {
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
    return [`${ESC}${row + 1};1H${dressed(line, colour)}${ESC}K`];
  });
  if (changed.length === 0) return '';
  return `${BEGIN_WHOLE}${shown === null ? `${ESC}2J` : ''}${changed.join('')}${END_WHOLE}`;
}

function dressed({ text: told, tone }: ReviewLine, colour: boolean): string {
  const text = terminalSafeLine(told);
  const look = LOOKS[tone];
  return colour && look !== '' && text !== '' ? `${ESC}${look}m${text}${ESC}0m` : text;
}
