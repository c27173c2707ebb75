import { fill } from '../../words/text-columns.ts';
import type { BedView } from '../web/views/bed-view.ts';
import type { TodayView } from '../web/views/today-view.ts';
import { type ScreenArea, shortDry, stateWords } from './morning-screen.ts';
import { EMPTY, line, paragraph, type ReviewLine, type ScreenBody } from './review-line.ts';
import type { ReviewState } from './review-state.ts';
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
} from './text-plots.ts';

const LABEL = 9;
const PLOT_ROWS = 6;
const BED_KEYS = [
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
export function bedScreen({ view, bed: full, chosen }: ReviewState, room: ScreenArea): ScreenBody {
  const { width, timeOf } = room;
  if (view === null || full === null || full.bed.id !== chosen) {
    return { lines: [line('Reading the bed ...', width)], keys: BED_KEYS };
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
        : storePlot(full, dayScale(view.line, width - LABEL), room, view.line)),
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
    keys: BED_KEYS,
  };
}

function cycleText(cycle: BedView['cycles'][number], timeOf: (ms: number) => string): string {
  return `${STATE_MARKS[cycle.state][0]} ${timeOf(cycle.startMs)} (${cycle.sun}) ${cycle.watering}; ${cycle.stateWords}. ${cycle.reason}`;
}

/** The expected store over the day's hours, with loss, rain and cycles on the same axis. */
function storePlot(
  { series, cycles, keepOffs }: BedView,
  scale: DayScale,
  { width, timeOf }: ScreenArea,
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

const READING_KEYS = [
  'Up/Down scroll',
  'Escape to the beds',
  'c confirm',
  'h or ! HOLD',
  'q leave',
];

/** Every bed against the hours, and the pump's flow beneath. */
export function lineScreen(state: ReviewState, { width, timeOf }: ScreenArea): ScreenBody {
  const { view } = state;
  const keys = ['Up/Down bed', 'Enter open', 'Escape to the beds', 'h or ! HOLD', 'q leave'];
  const day = view?.line ?? null;
  if (view === null || day === null) {
    return { lines: [line('There is no plan yet.', width)], keys };
  }
  const label = Math.min(16, 3 + Math.max(...view.beds.map((bed) => bed.name.length)));
  const scale = dayScale(day, width - label);
  const indent = ' '.repeat(label);
  const rows = view.beds.map((bed) =>
    markRow(scale, day, {
      cycles: day.cycles.filter((one) => one.bedId === bed.id),
      keepOffs: day.keepOffs.filter((one) => one.bedId === bed.id),
    }),
  );
  const chosenAt = view.beds.findIndex((bed) => bed.id === state.chosen);
  const states = new Set(day.cycles.map((one) => one.state));
  const now = nowRow(scale, day.nowMs, timeOf);
  return {
    lines: [
      line(`${indent}${hourRow(scale, timeOf)}`, width, 'quiet'),
      ...view.beds.map((bed, index) => {
        const isChosen = index === chosenAt;
        const text = `${isChosen ? '>' : ' '} ${fill(bed.name, label - 3)} ${rows[index] ?? ''}`;
        return line(text, width, isChosen ? 'chosen' : 'plain');
      }),
      line(`  ${fill('pump', label - 3)} ${flowRow(day, scale)}`, width),
      ...nowAndLegend(now, `${legend(rows, states)}   9 pump full`, width - label).map((text) =>
        line(`${indent}${text}`, width, 'quiet'),
      ),
    ],
    focus: chosenAt + 1,
    keys,
  };
}

/** The pump's greatest flow in each cell, in tenths of its limit. */
function flowRow(
  { flow }: NonNullable<TodayView['line']>,
  scale: ReturnType<typeof dayScale>,
): string {
  const cellMs = 3_600_000 / scale.cellsPerHour;
  return Array.from({ length: columnsIn(scale) }, (_, cell) => {
    const fromMs = scale.fromMs + cell * cellMs;
    const greatest = flow.atMs.reduce((most, atMs, step) => {
      const endMs = flow.atMs[step + 1] ?? Number.POSITIVE_INFINITY;
      const isIn = atMs < fromMs + cellMs && endMs > fromMs;
      return isIn ? Math.max(most, flow.flowLPerMin[step] ?? 0) : most;
    }, 0);
    if (!(greatest > 0)) return '.';
    return String(Math.min(9, Math.floor((10 * greatest) / flow.limitLPerMin)));
  }).join('');
}

/** All that waits, does not fit, warns and is foretold, in full. */
export function moreScreen({ view }: ReviewState, { width }: ScreenArea): ScreenBody {
  if (view === null) return { lines: [], keys: READING_KEYS };
  const part = (title: string, texts: readonly string[]): ReviewLine[] =>
    texts.length === 0
      ? []
      : [
          line(title, width, 'title'),
          ...texts.flatMap((text) => paragraph(text, width, { hang: 2 })),
          EMPTY,
        ];
  const { day, newest, inForce } = view;
  return {
    lines: [
      ...part(
        'Waits for you',
        view.waiting.map((one) => one.text),
      ),
      ...part('The plans', [
        ...(newest === null ? [] : [`${newest.standingLine} ${newest.causeLine}`]),
        ...(inForce === null ? ['No plan is in force.'] : [inForce.line]),
        ...view.deliveries.map((one) => one.line),
      ]),
      ...part('The day', day === null ? [] : [day.line, day.weatherLine, view.call.line]),
      ...part(
        'Does not fit',
        view.shortages.map((one) => one.line),
      ),
      ...part(
        'The wind',
        view.question === null
          ? []
          : [view.question.line, ...view.question.answers.map((one) => `  ${one.line}`)],
      ),
      ...part(
        'Notices',
        view.notices.flatMap((one) => [
          `${one.severity.toUpperCase()} ${one.title}: ${one.text}`,
          `  rule: ${one.rule}`,
          ...one.saw.map((saw) => `  saw: ${saw}`),
        ]),
      ),
      ...part(
        'Said of the plan',
        view.warnings.map((one) => one.text),
      ),
    ],
    keys: READING_KEYS,
  };
}

/** Every key, what the marks mean, and the cautions that no plan knows. */
export function helpScreen({ width }: ScreenArea): ScreenBody {
  const rows: [string, string][] = [
    ['Up, Down', 'another bed; Page, Home and End go further'],
    ['Enter', 'open the bed: its store, cycles with their reasons, sand, stage, log'],
    ['l', 'every bed against the hours'],
    ['m', 'all that waits, warns, does not fit, and the notices with their rules'],
    ['c', 'confirm: your name, each caution by its number, then y'],
    ['h or !', 'HOLD, then a for everything or b for the bed; ! also while you type'],
    ['d', 'day call: hotter, windier, cloudier than foretold'],
    ['t, r, w', 'trim; one more rotation; hand water, on the chosen bed'],
    ['k, e', 'keep-off; end a keep-off'],
    ['s', 'move the stage, with what you saw'],
    ['a', 'answer what the plan asks about the wind'],
    ['p', 'a fresh plan from now on; it can lift holds'],
    ['Escape', 'back'],
    ['q, Ctrl-C', 'leave; what was asked for goes on its way'],
  ];
  return {
    lines: [
      line('Keys', width, 'title'),
      ...rows.flatMap(([key, words]) =>
        paragraph(`${fill(key, 10)} ${words}`, width, { hang: 11 }),
      ),
      EMPTY,
      ...paragraph(
        'Each change is first shown before and after; y keeps it as a held plan, and nothing is sent until that is confirmed.',
        width,
      ),
      EMPTY,
      line('The bar', width, 'title'),
      ...paragraph(
        '[###|####....] is the store of a seedbed: dry limit left, full right, # is water, and the reserve ends at |. Left of it a bed should not fall.',
        width,
      ),
      EMPTY,
      line('Cautions', width, 'title'),
      ...paragraph(
        'Sprinklers start without notice. In lightning nobody is in the field, until 30 minutes after the last thunder. No water where it can freeze. Local codes, permits and labels come before any plan; a person on the turf and the hardware stops have the last word.',
        width,
      ),
    ],
    keys: READING_KEYS,
  };
}
