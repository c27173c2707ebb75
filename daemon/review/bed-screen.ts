import type { BedView } from '../web/views/bed-view.ts';
import { shortDry, stateWords } from './bed-rows.ts';
import {
  columnOf,
  columnsIn,
  type DayScale,
  dayScale,
  hourRow,
  legend,
  markRow,
  nowAndLegend,
  nowRow,
  STATE_MARKS,
} from './day-marks.ts';
import type { Room } from './morning-screen.ts';
import { type Body, EMPTY, line, paragraph, type ReviewLine } from './review-line.ts';
import type { ReviewState } from './review-state.ts';

const LABEL = 9;
const PLOT_ROWS = 6;
const KEYS = [
  'Left/Right bed',
  'Up/Down scroll',
  't trim',
  'r rotation',
  'w hand water',
  'k keep-off',
  's stage',
  'c confirm',
  'h or ! HOLD',
  'Escape back',
];

/** One bed in full. */
export function bedScreen({ view, bed: full, chosen }: ReviewState, room: Room): Body {
  const { width, timeOf } = room;
  if (view === null || full === null || full.bed.id !== chosen) {
    return { lines: [line('Reading the bed ...', width)], keys: KEYS };
  }
  const { bed, stage } = full;
  const words = stateWords(bed);
  const section = (title: string, texts: readonly string[]): ReviewLine[] =>
    texts.length === 0
      ? []
      : [
          EMPTY,
          line(title, width, 'title'),
          ...texts.flatMap((text) => paragraph(text, width, { hang: 2 })),
        ];
  return {
    lines: [
      line(
        `${bed.name}   ${bed.stage}   dry: ${shortDry(bed, timeOf)}${words === '' ? '' : `   ${words}`}`,
        width,
        'title',
      ),
      ...paragraph(
        `store ${bed.words.store} of ${bed.words.capacity}, reserve ${bed.words.reserve}; lowest ${bed.words.lowest}`,
        width,
      ),
      ...paragraph(
        `loss ${bed.words.loss}, rain ${bed.words.rain}, water ${bed.words.net} (${bed.words.percentOfLoss} of loss), drains ${bed.words.drained}`,
        width,
      ),
      ...(view.line === null
        ? []
        : plot(full, dayScale(view.line, width - LABEL), room, view.line)),
      ...section(
        'Cycles',
        full.cycles.map((one) => cycleText(one, timeOf)),
      ),
      ...section('Said of it', bed.notes),
      ...section('Stage', [
        `${stage.stage.replaceAll('_', ' ')}. ${stage.sinceLine}`,
        ...stage.slowPatches.map((one) => one.line),
        ...stage.signs.map((sign) => `ready to move on: ${sign}`),
        ...stage.prompts,
        ...(full.germination === null ? [] : [full.germination.line]),
      ]),
      ...section('Sand', full.sand.lines),
      ...section(
        'Stations',
        full.stations.map((one) => one.line),
      ),
      ...section(
        'Looks',
        full.looks.map((one) => one.line),
      ),
      ...section(
        'Log',
        full.log.slice(-8).map((one) => `${one.line} (${one.who}): ${one.what}`),
      ),
    ],
    keys: KEYS,
  };
}

function cycleText(cycle: BedView['cycles'][number], timeOf: (ms: number) => string): string {
  return `${STATE_MARKS[cycle.state][0]} ${timeOf(cycle.startMs)} (${cycle.sun}) ${cycle.watering}; ${cycle.stateWords}. ${cycle.reason}`;
}

/** The expected store over the day's hours, with loss, rain and cycles on the same axis. */
function plot(
  { series, cycles, keepOffs }: BedView,
  scale: DayScale,
  { width, timeOf }: Room,
  day: Parameters<typeof markRow>[1] & { nowMs: number },
): ReviewLine[] {
  const cells = columnsIn(scale);
  const stepMs = series.stepMin * 60_000;
  const least: (number | null)[] = Array.from({ length: cells }, () => null);
  series.storeMm.forEach((mm, step) => {
    const cell = columnOf(scale, series.startMs + step * stepMs);
    if (cell < 0 || cell >= cells) return;
    least[cell] = Math.min(least[cell] ?? Number.POSITIVE_INFINITY, mm);
  });
  const { capacityMm, reserveMm } = series;
  const reserveRow = Math.min(
    PLOT_ROWS - 1,
    Math.floor((reserveMm / Math.max(capacityMm, 1e-9)) * PLOT_ROWS),
  );
  const rows = Array.from({ length: PLOT_ROWS }, (_, index) => {
    const row = PLOT_ROWS - 1 - index;
    const name =
      row === PLOT_ROWS - 1 ? 'full' : row === reserveRow ? 'reserve' : row === 0 ? 'dry' : '';
    const text = least
      .map((mm) => {
        const isFilled = mm !== null && mm > (row / PLOT_ROWS) * capacityMm;
        return isFilled ? '#' : row === reserveRow ? '-' : row === 0 && mm !== null ? '_' : ' ';
      })
      .join('');
    return line(`${name.slice(0, LABEL - 1).padEnd(LABEL)}${text}`, width);
  });
  const marks = markRow(scale, day, { cycles, keepOffs });
  const indent = ' '.repeat(LABEL);
  const now = nowRow(scale, day.nowMs, timeOf);
  const rain = series.rainMm.some((mm) => mm > 0)
    ? [line(`${'rain'.padEnd(LABEL)}${hourDigits(series.rainMm, series, scale)}`, width)]
    : [];
  return [
    EMPTY,
    ...rows,
    line(`${'cycles'.padEnd(LABEL)}${marks}`, width),
    line(`${indent}${hourRow(scale, timeOf)}`, width, 'quiet'),
    line(`${'loss'.padEnd(LABEL)}${hourDigits(series.lossMm, series, scale)}`, width),
    ...rain,
    ...nowAndLegend(
      now,
      `${legend([marks], new Set(cycles.map((one) => one.state)))}   loss: 9 = most`,
      width - LABEL,
    ).map((text) => line(`${indent}${text}`, width, 'quiet')),
  ];
}

/** Each hour's amount as a digit, 9 for the greatest of the day. */
function hourDigits(
  amountMm: readonly number[],
  { hourStartMs }: Pick<BedView['series'], 'hourStartMs'>,
  scale: DayScale,
): string {
  const cells = Array.from({ length: columnsIn(scale) }, () => ' ');
  const most = Math.max(...amountMm);
  hourStartMs.forEach((startMs, hour) => {
    const cell = columnOf(scale, startMs);
    if (cell < 0 || cell >= cells.length || !(most > 0)) return;
    const mm = amountMm[hour] ?? 0;
    cells[cell] = mm > 0 ? String(Math.ceil((9 * mm) / most)) : '.';
  });
  return cells.join('').trimEnd();
}
