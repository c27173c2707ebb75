import { sayInTerminal as say } from '../../words/terminal.ts';
import { fill } from '../../words/text-columns.ts';
import type { TodayBed, TodayView, WaitingItem } from '../web/views/today-view.ts';
import { keysOf } from './keys.ts';
import { line, paragraph, type ReviewLine, type ScreenBody } from './review-line.ts';
import type { ReviewState } from './review-state.ts';
import {
  dayScale,
  hourRow,
  legend,
  markRow,
  nowAndLegend,
  nowRow,
  storeBar,
} from './text-plots.ts';

export interface ScreenArea {
  width: number;
  /** Lines that there are for the screen itself. */
  height: number;
  timeOf: (ms: number) => string;
}

const LEAST_BEDS = 4;
const LEAST_REASONS = 3;
const LABEL = 9;

/** The first screen: what waits, the beds worst first, the day, and the chosen bed's cycles. */
export function morningScreen(state: ReviewState, room: ScreenArea): ScreenBody {
  const { view } = state;
  if (view === null) {
    return { lines: [line(say('morning.reading'), room.width)], keys: keysOf('leave') };
  }
  const { width, height } = room;
  const bed = view.beds.find((one) => one.id === state.chosen);
  const waits = waitingLines(view, width, height > 26 ? 5 : 3);
  const day = view.day === null ? [] : paragraph(view.day.line, width, { most: 2 });
  const fits = shortageLines(view, width);
  const marks = bed === undefined ? [] : chosenMarks(view, bed, room);
  const heading = view.beds.length === 0 ? [] : [bedHeading(width, view.beds)];
  const fixed = waits.length + day.length + heading.length + fits.length + marks.length;
  const free = height - fixed;
  const least = bed === undefined ? [] : reasonLines(view, bed, room, LEAST_REASONS);
  const forBeds = Math.max(LEAST_BEDS, Math.min(view.beds.length, free - least.length));
  const beds = bedWindow(state, view, room, forBeds);
  const left = free - beds.length;
  const reasons = bed === undefined || left < 1 ? [] : reasonLines(view, bed, room, left);
  return {
    lines: [...waits, ...day, ...heading, ...beds, ...fits, ...marks, ...reasons],
    keys: keysOf(
      'bed',
      'open',
      'confirm',
      'stop',
      ...(view.holds.length === 0 ? [] : (['release'] as const)),
      ...(view.question === null ? [] : (['wind'] as const)),
      'call',
      'trim',
      'rotation',
      'water',
      'keep_off',
      'stage',
      'plan',
      'line',
      'more',
      'help',
      'leave',
    ),
  };
}

/** What waits for a person, worst first and a stop before its equals: whole, or a line each. */
function waitingLines(view: TodayView, width: number, most: number): ReviewLine[] {
  const { waiting } = view;
  if (waiting.length === 0) return [line(say('morning.nothing_waits'), width)];
  const rank = ({ severity, kind }: WaitingItem) =>
    2 * ['danger', 'warn', 'note'].indexOf(severity) + (kind === 'hold' ? 0 : 1);
  const inOrder = waiting.toSorted((a, b) => rank(a) - rank(b));
  const linesOf = ({ severity, text }: WaitingItem, mostLines: number) =>
    paragraph(`${severity === 'danger' ? '!!' : '! '} ${text}`, width, {
      tone: severity === 'danger' ? 'danger' : 'warn',
      hang: 3,
      most: mostLines,
    });
  const whole = inOrder.flatMap((one) => linesOf(one, most));
  if (whole.length <= most) return whole;
  const kept = waiting.length <= most ? waiting.length : most - 1;
  const rest = waiting.length - kept;
  return [
    ...inOrder.slice(0, kept).flatMap((one) => linesOf(one, 1)),
    ...(rest === 0 ? [] : [line(`   ${say('morning.more_wait', { more: rest })}`, width, 'warn')]),
  ];
}

function shortageLines(view: TodayView, width: number): ReviewLine[] {
  const [first] = view.shortages;
  if (first === undefined) return [];
  const more = view.shortages.length - 1;
  const text =
    more === 0
      ? say('morning.short', { line: first.line })
      : say('morning.more_short', { more, line: first.line });
  return [line(text, width, 'warn')];
}

/** The beds around the chosen one. */
function bedWindow(
  state: ReviewState,
  view: TodayView,
  room: ScreenArea,
  most: number,
): ReviewLine[] {
  const { beds } = view;
  const at = Math.max(
    0,
    beds.findIndex((bed) => bed.id === state.chosen),
  );
  const row = (bed: TodayBed) => bedRow(bed, { ...room, beds, isChosen: bed.id === state.chosen });
  if (beds.length <= most) return beds.map(row);
  const rows = most - 1;
  const from = Math.min(Math.max(0, at - rows + 1), beds.length - rows);
  const before = from === 0 ? '' : say('beds.above', { beds: from });
  const after = beds.length - from - rows;
  const words = [before, after === 0 ? '' : say('beds.below', { beds: after })].filter(
    (one) => one !== '',
  );
  return [
    ...beds.slice(from, from + rows).map(row),
    line(`  ... ${words.join(', ')}`, room.width, 'quiet'),
  ];
}

function chosenMarks(view: TodayView, bed: TodayBed, room: ScreenArea): ReviewLine[] {
  const { line: day } = view;
  if (day === null) return [];
  const { width, timeOf } = room;
  const scale = dayScale(day, width - LABEL);
  const cycles = day.cycles.filter((one) => one.bedId === bed.id);
  const keepOffs = day.keepOffs.filter((one) => one.bedId === bed.id);
  const row = markRow(scale, day, { cycles, keepOffs });
  const indent = ' '.repeat(LABEL);
  const now = nowRow(scale, day.nowMs, timeOf);
  return [
    line(`${indent}${hourRow(scale, timeOf)}`, width, 'quiet'),
    line(`${fill(bed.name, LABEL - 1)} ${row}`, width),
    ...nowAndLegend(now, legend([row], new Set(cycles.map((one) => one.state))), width - LABEL).map(
      (text) => line(`${indent}${text}`, width, 'quiet'),
    ),
  ];
}

/** Why the chosen bed's next cycles stand where they stand. */
function reasonLines(view: TodayView, bed: TodayBed, room: ScreenArea, most: number): ReviewLine[] {
  const { width, timeOf } = room;
  const ahead = (view.line?.cycles ?? []).filter(
    (one) => one.bedId === bed.id && one.endMs > view.nowMs,
  );
  if (ahead.length === 0) return [line(say('morning.no_water', { bed: bed.name }), width)];
  const lines = ahead.map((one) =>
    paragraph(`${timeOf(one.startMs)} ${one.watering}: ${one.reason}`, width, { hang: 6, most: 2 }),
  );
  const kept: ReviewLine[] = [];
  let told = 0;
  for (const own of lines) {
    const isLast = told === lines.length - 1;
    if (kept.length + own.length > most - (isLast ? 0 : 1)) break;
    kept.push(...own);
    told++;
  }
  const rest = lines.length - told;
  if (rest === 0) return kept;
  if (told === 0) return [line(lines[0]?.[0]?.text ?? '', width)].slice(0, most);
  return [...kept, line(`      ${say('morning.more_cycles', { more: rest })}`, width, 'quiet')];
}

/** Time to dry in little room: "dry now", "1:20 to 11:40", "not today". */
export function shortDry(bed: TodayBed, timeOf: (ms: number) => string): string {
  const { timeToDryMin, dryAtMs } = bed;
  if (timeToDryMin === null || dryAtMs === null) return say('dry.not_today');
  if (timeToDryMin === 0) return say('dry.now');
  const hours = Math.floor(timeToDryMin / 60);
  const minutes = String(timeToDryMin % 60).padStart(2, '0');
  return say('dry.in', { hours, minutes, at: timeOf(dryAtMs) });
}

/** The time with its band where there is room for both: "11:40 (10:50 to 12:55)". */
function bandedDry(bed: TodayBed, timeOf: (ms: number) => string): string {
  const { dryAtMs, dryBand } = bed;
  const isAhead = dryBand !== null && bed.timeToDryMin !== 0;
  if (!isAhead) return shortDry(bed, timeOf);
  const at = dryAtMs === null ? say('dry.not_today') : timeOf(dryAtMs);
  return say('dry.banded', { at, band: dryBand });
}

/** What must not be overlooked about a bed, as words. */
export function stateWords(bed: TodayBed): string {
  return [
    ...(bed.held ? [say('state.stopped')] : []),
    ...(bed.keptOff && !bed.held ? [say('state.kept_off')] : []),
    ...(bed.severity === 'danger' ? [say('state.dries_out')] : []),
    ...(bed.severity === 'warn' ? [say('state.runs_low')] : []),
    ...(bed.trimPct === 100 ? [] : [say('state.trim', { pct: bed.trimPct })]),
  ].join(', ');
}

interface Columns {
  name: number;
  dry: number;
  bar: number;
  next: number;
}

const DRY_COLUMNS = 15;
/** "11:40 (10:50 to 12:55)". */
const BANDED_COLUMNS = 22;
/** Beside the words of a bed that needs a person. */
const BANDED_WIDTH = 80;

function columnsFor(width: number, beds: readonly TodayBed[]): Columns {
  const longest = Math.max(8, ...beds.map((bed) => bed.name.length));
  const bar = width >= 78 ? 14 : 8;
  const isBanded = width >= BANDED_WIDTH && beds.some(({ dryBand }) => dryBand !== null);
  const dry = isBanded ? BANDED_COLUMNS : DRY_COLUMNS;
  const name = Math.min(longest, Math.max(8, width - 37 - dry));
  return { name, dry, bar, next: 6 };
}

function bedHeading(width: number, beds: readonly TodayBed[]): ReviewLine {
  const { name, dry: dryWide, bar, next } = columnsFor(width, beds);
  const [bed = '', dryIn = '', dry = '', full = '', nextAt = ''] =
    say('morning.heading').split('|');
  const scale = `${dry}${' '.repeat(Math.max(1, bar + 2 - dry.length - full.length))}${full}`;
  return line(
    `  ${fill(bed, name)} ${fill(dryIn, dryWide)} ${fill(scale, bar + 2)} ${fill(nextAt, next)}`,
    width,
    'quiet',
  );
}

/** One bed in one line. */
function bedRow(
  bed: TodayBed,
  given: {
    width: number;
    beds: readonly TodayBed[];
    isChosen: boolean;
    timeOf: (ms: number) => string;
  },
): ReviewLine {
  const { width, beds, isChosen, timeOf } = given;
  const { name, dry, bar, next } = columnsFor(width, beds);
  const dryText = dry === BANDED_COLUMNS ? bandedDry(bed, timeOf) : shortDry(bed, timeOf);
  const store = { ...bed, storeMm: bed.storeNowMm };
  const nextAt = bed.nextCycleMs === null ? say('morning.no_next') : timeOf(bed.nextCycleMs);
  const text = `${isChosen ? '>' : ' '} ${fill(bed.name, name)} ${fill(dryText, dry)} ${storeBar(store, bar)} ${fill(nextAt, next)} ${stateWords(bed)}`;
  const loud = bed.severity === 'danger' ? 'danger' : bed.severity === 'warn' ? 'warn' : 'plain';
  return line(text, width, isChosen ? 'chosen' : loud);
}
