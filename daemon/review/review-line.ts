import { cut, fold, harmless } from '../words/text-columns.ts';

/** How loud a line is; where there is colour it shows, and nothing rests on it. */
export type Tone = 'plain' | 'title' | 'chosen' | 'warn' | 'danger' | 'quiet';

/** One line of a frame. */
export interface ReviewLine {
  text: string;
  tone: Tone;
}

/** A text as a line, cut to the width. */
export function line(text: string, width: number, tone: Tone = 'plain'): ReviewLine {
  return { text: cut(harmless(text), width).trimEnd(), tone };
}

/** A text as lines, broken between words. */
export function paragraph(
  text: string,
  width: number,
  { tone = 'plain', hang = 0, most }: { tone?: Tone; hang?: number; most?: number } = {},
): ReviewLine[] {
  const lines = fold(harmless(text), width, hang).map((one) => ({ text: one, tone }));
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
export interface Body {
  lines: ReviewLine[];
  /** Line that has to be in sight. */
  focus?: number;
  keys: readonly string[];
}
