import type { BedPlan, DayPlan } from '../calc/schedule/day-plan.ts';
import type { Run } from '../calc/schedule/run.ts';
import { CARD_CAUTIONS } from './card-cautions.ts';
import { columns, fold, leftRight, rule } from './card-text.ts';
import type { PlanWords } from './contract.ts';
import { type DisplayUnits, display } from './display-units.ts';
import { shortDigest } from './plan-document.ts';
import { shortStationId } from './short-station-id.ts';
import type { SiteClock } from './site-clock.ts';

/** Where the plan on the card stands; a card that is not confirmed must not be taken for one. */
export type CardState =
  | { kind: 'held' }
  | { kind: 'confirmed'; who: string; atMs: number; heldBedIds: readonly string[] }
  | { kind: 'partly_held'; who: string; why: string; atMs: number; heldBedIds: readonly string[] };

export interface PlanCard {
  plan: DayPlan;
  digest: string;
  state: CardState;
  /** What may start, or would start when confirmed, in order of time. */
  runs: readonly Run[];
  /** Runs of cycles that had begun before the confirm, in order of time. */
  missed?: readonly Run[];
  clock: SiteClock;
  units: DisplayUnits;
  words: Pick<PlanWords, 'warnings' | 'notices'>;
}

const CYCLE_COLUMNS = [-5, -22, -18, 5, 3, 8, 3] as const;
const BED_COLUMNS = [-20, -11, 6, 8, 8, 6, 8] as const;

/** The day's cycles on paper: 80 columns of plain text, what matters first at five in the morning. */
export function planCard(card: PlanCard): string {
  const lines = [
    ...headLines(card),
    rule('-'),
    ...cycleLines(card),
    rule('-'),
    ...bedLines(card),
    ...warningLines(card),
    ...noticeLines(card),
    rule('-'),
    ...CARD_CAUTIONS.flatMap((caution) => fold(caution, '! ', '  ')),
    rule('='),
  ];
  return `${lines.join('\n')}\n`;
}

/** The card of a day on which nothing may start. */
export function emptyCard(given: {
  siteId: string;
  siteDay: string;
  who: string;
  why: string;
  atMs: number;
  clock: SiteClock;
}): string {
  const lines = [
    rule('='),
    leftRight(given.siteId, dayOf(given.siteDay)),
    '',
    ...fold(
      `NO WATER. Everything was put on hold by ${given.who} at ${given.clock.timeOf(given.atMs)}.`,
    ),
    ...fold(`Why: ${given.why}`),
    'Nothing starts until a person confirms a fresh plan.',
    rule('-'),
    ...CARD_CAUTIONS.flatMap((caution) => fold(caution, '! ', '  ')),
    rule('='),
  ];
  return `${lines.join('\n')}\n`;
}

function headLines({ plan, digest, state, clock, units }: PlanCard): string[] {
  const { weather } = plan;
  const show = display(units);
  const sun = (atMs: number | null) => (atMs === null ? 'none' : clock.timeOf(atMs));
  return [
    rule('='),
    leftRight(plan.siteName, dayOf(plan.siteDay)),
    leftRight(`revision ${plan.revision}   digest ${shortDigest(digest)}`, `times: ${clock.zone}`),
    '',
    ...stateLines(state, plan, clock),
    '',
    leftRight(
      `Sunrise ${sun(plan.sunriseMs)}   Sunset ${sun(plan.sunsetMs)}`,
      `nothing starts after ${clock.timeOf(plan.endMs)}`,
    ),
    ...fold(
      `Weather: high ${show.temp(weather.highC)}, low ${show.temp(weather.lowC)} (${weather.source})`,
    ),
    `Wind to ${show.speed(weather.windMaxMPerS)}, rain ${show.depth(weather.rainMm)}, ` +
      `reference ET ${show.depth(weather.referenceEtMm)}`,
  ];
}

function stateLines(state: CardState, plan: DayPlan, clock: SiteClock): string[] {
  if (state.kind === 'held') {
    return fold('HELD: not confirmed. Nothing on this card starts by itself.');
  }
  const when = `by ${state.who} at ${clock.timeOf(state.atMs)}`;
  const dry = state.heldBedIds.map((bedId) => bedName(plan, bedId)).join(', ');
  if (state.kind === 'partly_held') {
    return [...fold(`PARTLY ON HOLD ${when}. No water on ${dry}.`), ...fold(`Why: ${state.why}`)];
  }
  return fold(`CONFIRMED ${when}.${dry === '' ? '' : ` On hold, no water: ${dry}.`}`);
}

function cycleLines({ plan, runs, missed = [], clock, units }: PlanCard): string[] {
  const show = display(units);
  const missedStarts = startsOf(missed).map(
    ({ first }) => `${clock.timeOf(first.startMs)} ${bedName(plan, first.bedId)}`,
  );
  const missedLines =
    missedStarts.length === 0
      ? []
      : fold(`Missed before the confirm, not made up for: ${missedStarts.join(', ')}.`);
  if (runs.length === 0) return ['No cycles.', ...missedLines];
  return [
    ...columns(CYCLE_COLUMNS, ['START', 'BED', 'STATIONS', 'MIN', 'ROT', 'NET', 'RAN']),
    ...startsOf(runs).flatMap(({ first, stationIds }) =>
      columns(CYCLE_COLUMNS, [
        clock.timeOf(first.startMs),
        bedName(plan, first.bedId),
        stationIds.map((id) => shortStationId(id, first.bedId)).join(' '),
        (first.runS / 60).toFixed(1),
        String(first.rotations),
        show.depth(first.netMm),
        '[_]',
      ]),
    ),
    ...missedLines,
  ];
}

/** Stations of one cycle that run alike and side by side share a line, that of the first to start. */
function startsOf(runs: readonly Run[]): { first: Run; stationIds: string[] }[] {
  const lines: { first: Run; stationIds: string[] }[] = [];
  const newest = new Map<string, { first: Run; stationIds: string[] }>();
  for (const run of runs) {
    const key = JSON.stringify([run.bedId, run.cycle, run.runS, run.netMm.toFixed(3)]);
    const line = newest.get(key);
    if (line !== undefined && run.startMs < line.first.startMs + line.first.runS * 1000) {
      line.stationIds.push(run.stationId);
      continue;
    }
    const begun = { first: run, stationIds: [run.stationId] };
    newest.set(key, begun);
    lines.push(begun);
  }
  return lines;
}

function bedLines({ plan, runs, clock, units }: PlanCard): string[] {
  const show = display(units);
  const dryFirst = (bed: BedPlan) => bed.dryAtMs ?? Number.POSITIVE_INFINITY;
  const dryAt = ({ dryAtMs }: BedPlan) => {
    if (dryAtMs === null) return 'not soon';
    return clock.siteDayOf(dryAtMs) > plan.siteDay ? 'next day' : clock.timeOf(dryAtMs);
  };
  return [
    ...columns(BED_COLUMNS, ['BED', 'STAGE', 'CYCLES', 'LOSS', 'NET', '%LOSS', 'DRY AT']),
    ...plan.beds
      .toSorted((a, b) => dryFirst(a) - dryFirst(b))
      .flatMap((bed) => {
        const own = runs.filter((run) => run.bedId === bed.bedId);
        const netMm = leastOfStations(own);
        return columns(BED_COLUMNS, [
          bed.name,
          bed.stage.replaceAll('_', ' '),
          String(new Set(own.map((run) => run.cycle)).size),
          show.depth(bed.lossMm),
          show.depth(netMm),
          bed.lossMm > 0 ? ((100 * netMm) / bed.lossMm).toFixed(0) : '-',
          dryAt(bed),
        ]);
      }),
    ...fold('Driest first. DRY AT: when its seedbed reaches the dry limit if nothing is watered.'),
  ];
}

/** What the station gives that gives its part least, mm: no other part is shorter of water. */
function leastOfStations(runs: readonly Run[]): number {
  const netMm = new Map<string, number>();
  for (const run of runs) netMm.set(run.stationId, (netMm.get(run.stationId) ?? 0) + run.netMm);
  return netMm.size === 0 ? 0 : Math.min(...netMm.values());
}

function warningLines({ plan, words }: PlanCard): string[] {
  if (plan.warnings.length === 0) return [];
  return [
    rule('-'),
    'LOOK OUT',
    ...words
      .warnings(plan)
      .flatMap(({ bedId, text }) =>
        fold(named(text, bedId === null ? '' : bedName(plan, bedId)), '* ', '  '),
      ),
  ];
}

/** A text that names its bed, once. */
function named(text: string, name: string): string {
  return name === '' || text.startsWith(name) ? text : `${name}: ${text}`;
}

/** Every notice with its rule and what the rule saw: on paper nobody can ask for more. */
function noticeLines({ plan, words }: PlanCard): string[] {
  if (plan.notices.length === 0) return [];
  return [
    rule('-'),
    'WEATHER AND WATER',
    ...words
      .notices(plan)
      .flatMap((notice) => [
        ...fold(`${notice.severity}: ${notice.title}. ${notice.text}`, '* ', '  '),
        ...fold(`Rule: ${notice.rule}`, '  ', '    '),
        ...notice.saw.flatMap((one) => fold(`Saw: ${one}`, '  ', '    ')),
      ]),
  ];
}

function bedName(plan: DayPlan, bedId: string): string {
  return plan.beds.find((bed) => bed.bedId === bedId)?.name ?? bedId;
}

function dayOf(siteDay: string): string {
  const weekday = new Intl.DateTimeFormat('en', { weekday: 'long', timeZone: 'UTC' });
  return `${weekday.format(Date.parse(`${siteDay}T00:00:00Z`))} ${siteDay}`;
}
