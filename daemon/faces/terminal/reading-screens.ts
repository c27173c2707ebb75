import { sayAtCommandLine } from '../../words/command-line.ts';
import { sayInTerminal as say } from '../../words/terminal.ts';
import { fill } from '../../words/text-columns.ts';
import type { BedView } from '../web/views/bed-view.ts';
import type { TodayView } from '../web/views/today-view.ts';
import { keysOf } from './keys.ts';
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
const BED_KEYS = keysOf(
  'other_bed',
  'scroll',
  'trim',
  'rotation',
  'water',
  'keep_off',
  'stage',
  'confirm',
  'stop',
  'back',
);

/** One bed in full. */
export function bedScreen({ view, bed: full, chosen }: ReviewState, room: ScreenArea): ScreenBody {
  const { width, timeOf } = room;
  if (view === null || full === null || full.bed.id !== chosen) {
    return { lines: [line(say('bed.reading'), width)], keys: BED_KEYS };
  }
  const { bed, stage } = full;
  const words = stateWords(bed);
  const title = say('bed.title', {
    bed: bed.name,
    stage: bed.stage,
    dry: shortDry(bed, timeOf),
  });
  const [cycles = '', notes = '', stages = '', sand = '', stations = '', looks = '', log = ''] =
    say('bed.sections').split('|');
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
      line(words === '' ? title : `${title}   ${words}`, width, 'title'),
      ...paragraph(bed.drySentence, width),
      ...(bed.riskLine === null ? [] : paragraph(bed.riskLine, width, { tone: 'warn' })),
      ...paragraph(say('bed.store', bed.words), width),
      ...paragraph(say('bed.sums', { ...bed.words, percent: bed.words.percentOfLoss }), width),
      ...(view.line === null
        ? []
        : storePlot(full, dayScale(view.line, width - LABEL), room, view.line)),
      ...section(
        cycles,
        full.cycles.map((one) => cycleText(one, timeOf)),
      ),
      ...section(notes, bed.notes),
      ...section(stages, [
        say('bed.stage', { stage: stage.stage.replaceAll('_', ' '), since: stage.sinceLine }),
        ...stage.slowPatches.map((one) => one.line),
        ...stage.signs.map((sign) => say('bed.sign', { sign })),
        ...stage.prompts,
        ...(full.germination === null ? [] : [full.germination.line]),
      ]),
      ...section(sand, full.sand.lines),
      ...section(
        stations,
        full.stations.map((one) => one.line),
      ),
      ...section(
        looks,
        full.looks.map((one) => one.line),
      ),
      ...section(
        log,
        full.log
          .slice(-8)
          .map((one) => say('bed.log', { line: one.line, who: one.who, what: one.what })),
      ),
    ],
    keys: BED_KEYS,
  };
}

function cycleText(cycle: BedView['cycles'][number], timeOf: (ms: number) => string): string {
  return say('bed.cycle', {
    mark: STATE_MARKS[cycle.state],
    at: timeOf(cycle.startMs),
    sun: cycle.sun,
    watering: cycle.watering,
    state: cycle.stateWords,
    reason: cycle.reason,
  });
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
  const leastOf = (valuesMm: readonly number[]) => {
    const least: (number | null)[] = Array.from({ length: cells }, () => null);
    valuesMm.forEach((mm, step) => {
      const cell = columnOf(scale, series.startMs + step * stepMs);
      if (cell < 0 || cell >= cells) return;
      least[cell] = Math.min(least[cell] ?? Number.POSITIVE_INFINITY, mm);
    });
    return least;
  };
  const least = leastOf(series.storeMm);
  const lower = leastOf(series.band?.lowerMm ?? series.storeMm);
  const upper = leastOf(series.band?.upperMm ?? series.storeMm);
  const { capacityMm, reserveMm } = series;
  const reserveRow = Math.min(
    PLOT_ROWS - 1,
    Math.floor((reserveMm / Math.max(capacityMm, 1e-9)) * PLOT_ROWS),
  );
  const rows = Array.from({ length: PLOT_ROWS }, (_, index) => {
    const row = PLOT_ROWS - 1 - index;
    const name =
      row === PLOT_ROWS - 1
        ? say('plot.full')
        : row === reserveRow
          ? say('plot.reserve')
          : row === 0
            ? say('plot.dry')
            : '';
    const text = least
      .map((mm, cell) => {
        const rowMm = (row / PLOT_ROWS) * capacityMm;
        const fills = (one: number | null | undefined) => one != null && one > rowMm;
        if (fills(mm)) return fills(lower[cell]) ? '#' : '%';
        if (fills(upper[cell])) return '~';
        return row === reserveRow ? '-' : row === 0 && mm !== null ? '_' : ' ';
      })
      .join('');
    return line(`${name.slice(0, LABEL - 1).padEnd(LABEL)}${text}`, width);
  });
  const marks = markRow(scale, day, { cycles, keepOffs });
  const indent = ' '.repeat(LABEL);
  const now = nowRow(scale, day.nowMs, timeOf);
  const rain = series.rainMm.some((mm) => mm > 0)
    ? [line(`${say('plot.rain').padEnd(LABEL)}${hourDigits(series.rainMm, series, scale)}`, width)]
    : [];
  return [
    EMPTY,
    ...rows,
    line(`${say('plot.cycles').padEnd(LABEL)}${marks}`, width),
    line(`${indent}${hourRow(scale, timeOf)}`, width, 'quiet'),
    line(`${say('plot.loss').padEnd(LABEL)}${hourDigits(series.lossMm, series, scale)}`, width),
    ...rain,
    ...nowAndLegend(
      now,
      [
        legend([marks], new Set(cycles.map((one) => one.state))),
        say('plot.loss_digits'),
        ...(series.band === null ? [] : [say('plot.band')]),
      ].join('   '),
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

const READING_KEYS = keysOf('scroll', 'to_beds', 'confirm', 'stop', 'leave');

/** Every bed against the hours, and the pump's flow beneath. */
export function lineScreen(state: ReviewState, { width, timeOf }: ScreenArea): ScreenBody {
  const { view } = state;
  const keys = keysOf('bed', 'open', 'to_beds', 'stop', 'leave');
  const day = view?.line ?? null;
  if (view === null || day === null) {
    return { lines: [line(say('line.no_plan'), width)], keys };
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
      line(`  ${fill(say('line.pump'), label - 3)} ${flowRow(day, scale)}`, width),
      ...nowAndLegend(
        now,
        `${legend(rows, states)}   ${say('line.pump_digits')}`,
        width - label,
      ).map((text) => line(`${indent}${text}`, width, 'quiet')),
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
        say('more.waits'),
        view.waiting.map((one) => one.text),
      ),
      ...part(say('more.plans'), [
        ...(newest === null ? [] : [`${newest.standingLine} ${newest.causeLine}`]),
        ...(inForce === null ? [say('more.none_in_force')] : [inForce.line]),
        ...view.deliveries.map((one) => one.line),
      ]),
      ...part(
        say('more.day'),
        day === null
          ? []
          : [
              day.line,
              day.weatherLine,
              ...(day.riskLine === null ? [] : [day.riskLine]),
              view.call.line,
            ],
      ),
      ...part(
        say('more.short'),
        view.shortages.map((one) => one.line),
      ),
      ...part(
        say('more.wind'),
        view.question === null
          ? []
          : [view.question.line, ...view.question.answers.map((one) => `  ${one.line}`)],
      ),
      ...part(
        say('more.notices'),
        view.notices.flatMap((one) => [
          say('more.notice', {
            severity: one.severity.toUpperCase(),
            title: one.title,
            text: one.text,
          }),
          `  ${sayAtCommandLine('plan.rule', { rule: one.rule })}`,
          ...one.saw.map((saw) => `  ${sayAtCommandLine('plan.saw', { saw })}`),
        ]),
      ),
      ...part(
        say('more.said'),
        view.warnings.map((one) => one.text),
      ),
    ],
    keys: READING_KEYS,
  };
}

/** Keys of the help, in order. */
const HELP_ROWS = [
  'bed',
  'open',
  'line',
  'more',
  'confirm',
  'stop',
  'release',
  'call',
  'bed_actions',
  'keep_off',
  'stage',
  'wind',
  'plan',
  'back',
  'leave',
] as const;

/** Every key, what the marks mean, and the cautions that no plan knows. */
export function helpScreen({ width }: ScreenArea): ScreenBody {
  return {
    lines: [
      line(say('help.keys'), width, 'title'),
      ...HELP_ROWS.flatMap((name) => {
        const [key = '', words = ''] = say(`help.key.${name}`).split('|');
        return paragraph(`${fill(key, 10)} ${words}`, width, { hang: 11 });
      }),
      EMPTY,
      ...paragraph(say('help.changes'), width),
      EMPTY,
      line(say('help.bar'), width, 'title'),
      ...paragraph(say('help.bar_means'), width),
      EMPTY,
      line(say('help.cautions'), width, 'title'),
      ...paragraph(say('help.cautions_are'), width),
    ],
    keys: READING_KEYS,
  };
}
