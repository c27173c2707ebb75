import { sayInTerminal as say } from '../../words/terminal.ts';
import { columnsOf, cut, fold } from '../../words/text-columns.ts';
import {
  confirmScreen,
  formScreen,
  holdScreen,
  outcomeScreen,
  previewScreen,
} from './action-screens.ts';
import { morningScreen, type ScreenArea } from './morning-screen.ts';
import { bedScreen, helpScreen, lineScreen, moreScreen } from './reading-screens.ts';
import { EMPTY, line, type ReviewLine, type ScreenBody } from './review-line.ts';
import type { ReviewState } from './review-state.ts';

/** A terminal's size, in letters. */
export interface FrameSize {
  width: number;
  height: number;
}

/** Below this nothing can be read; the frame says so. */
const LEAST: FrameSize = { width: 40, height: 12 };
const MOST_KEY_LINES = 4;

/** What the terminal shows. */
export interface Frame {
  /** Exactly so many lines as the terminal has, none wider than it. */
  lines: ReviewLine[];
  /** The scroll as far as there was something to scroll. */
  scroll: number;
}

/** The frame of a state at a size. Pure. */
export function frame(
  state: ReviewState,
  size: FrameSize,
  site: { timeOf: (ms: number) => string },
): Frame {
  const { width, height } = size;
  if (width < LEAST.width || height < LEAST.height) {
    const text = say('frame.too_small', { ...LEAST });
    const told = fold(text, Math.max(1, width)).map((one) => line(one, width));
    return { lines: filledUp(told, height), scroll: state.scroll };
  }
  const head = headLines(state, width, site.timeOf);
  const note = noteLine(state, width);
  // The keys decide how much room there is, and the screen decides the keys.
  const draft = bodyOf(state, { width, height, timeOf: site.timeOf });
  const keys = keyLines(draft.keys, width);
  const room = height - head.length - 1 - keys.length;
  const body = bodyOf(state, { width, height: room, timeOf: site.timeOf });
  return {
    lines: [
      ...head,
      ...filledUp(inSight(body, state.scroll, room, width), room),
      note,
      ...keyLines(body.keys, width).slice(0, keys.length),
    ],
    scroll: Math.min(state.scroll, Math.max(0, body.lines.length - (room - 1))),
  };
}

function bodyOf(state: ReviewState, room: ScreenArea): ScreenBody {
  const { screen } = state;
  switch (screen.kind) {
    case 'morning':
      return morningScreen(state, room);
    case 'bed':
      return bedScreen(state, room);
    case 'line':
      return lineScreen(state, room);
    case 'more':
      return moreScreen(state, room);
    case 'help':
      return helpScreen(room);
    case 'hold':
      return holdScreen(state, room);
    case 'form':
      return formScreen(screen, room);
    case 'preview':
      return previewScreen(state, screen, room);
    case 'confirm':
      return confirmScreen(state, screen, room);
    case 'told':
      return outcomeScreen(screen, room);
  }
}

/** Where, when, and how the newest plan stands: on every screen. */
function headLines(
  { view }: ReviewState,
  width: number,
  timeOf: (ms: number) => string,
): ReviewLine[] {
  if (view === null) return [line('dewbeat', width, 'title')];
  const when = `${view.siteDay} ${timeOf(view.nowMs)}`;
  const { newest } = view;
  const plan =
    newest === null
      ? say('frame.no_plan')
      : say('frame.plan', {
          revision: newest.revision,
          digest: newest.shortDigest,
          standing: say(`frame.${newest.standing}`),
        });
  // Where there is little room the plan and its standing outlast the day, and the day the name.
  const rests = [`${when}   ${plan}`, `${timeOf(view.nowMs)}   ${plan}`];
  const rest = rests.find((text) => columnsOf(text) + 12 <= width) ?? rests[1] ?? plan;
  const room = width - columnsOf(rest) - 3;
  const name = room < 9 ? '' : `${cut(view.site.name, room)}   `;
  return [line(name + rest, width, 'title')];
}

function noteLine({ note, busy, fault }: ReviewState, width: number): ReviewLine {
  if (fault !== null) {
    return line(say('frame.old', { fault }), width, 'danger');
  }
  if (note !== null) {
    return line(note.text, width, note.tone);
  }
  return busy === null ? EMPTY : line(`${busy} ...`, width, 'warn');
}

function keyLines(keys: readonly string[], width: number): ReviewLine[] {
  const lines: string[] = [];
  for (const key of keys) {
    const last = lines.at(-1);
    const longer = last === undefined ? key : `${last}   ${key}`;
    if (last !== undefined && columnsOf(longer) <= width) lines[lines.length - 1] = longer;
    else lines.push(key);
  }
  return lines.slice(0, MOST_KEY_LINES).map((text) => line(text, width, 'quiet'));
}

/** The part of a long screen that is in sight, with a word on what is not. */
function inSight(
  { lines, focus }: ScreenBody,
  scroll: number,
  room: number,
  width: number,
): ReviewLine[] {
  if (lines.length <= room) return lines;
  const most = lines.length - (room - 1);
  const from = Math.min(most, focus === undefined ? scroll : Math.max(0, focus - room + 3));
  const kept = lines.slice(from, from + room - 1);
  const below = lines.length - from - kept.length;
  const words = [
    ...(from > 0 ? [say('frame.above', { lines: from })] : []),
    ...(below > 0 ? [say('frame.below', { lines: below })] : []),
  ];
  return [...kept, line(`--- ${words.join(', ')} ---`, width, 'quiet')];
}

function filledUp(lines: readonly ReviewLine[], height: number): ReviewLine[] {
  const kept = lines.slice(0, height);
  return [...kept, ...Array.from({ length: Math.max(0, height - kept.length) }, () => EMPTY)];
}
