import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { BedPlan, DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { RunState } from '../site/store/run-state.ts';
import { type Reader, sayReason } from './plan-words.ts';

export const BED_HEADING = [
  'bed',
  'stage',
  'in store',
  'dry at',
  'loss',
  'water',
  'of loss',
  'drains',
  'cycles',
  'lowest',
] as const;

/** One row a bed, first to dry first: the same words in the terminal and on the page. */
export function bedRows(plan: DayPlan, clock: SiteClock, show: UnitDisplay): string[][] {
  return worstFirst(plan.beds).map((bed) => [
    bed.name,
    bed.stage.replace('_', ' '),
    show.depth(bed.storeNowMm),
    dryAt(bed, plan, clock),
    show.depth(bed.lossMm),
    show.depth(bed.netMm),
    bed.percentOfLoss === null ? '-' : `${Math.round(bed.percentOfLoss)} %`,
    show.depth(bed.drainedMm),
    String(bed.cycles.length),
    `${show.depth(bed.lowestStoreMm)} at ${clock.timeOf(bed.lowestAtMs)}`,
  ]);
}

export const CYCLE_HEADING = [
  'start',
  'sun',
  'bed',
  'each station',
  'turns',
  'water',
  'why',
] as const;

/** One row a cycle, in order of time. */
export function cycleRows(plan: DayPlan, reader: Reader): string[][] {
  const { clock, show } = reader;
  return plan.beds
    .flatMap((bed) => bed.cycles.map((cycle) => ({ bed, cycle })))
    .sort((a, b) => a.cycle.startMs - b.cycle.startMs || (a.bed.bedId < b.bed.bedId ? -1 : 1))
    .map(({ bed, cycle }) => [
      clock.timeOf(cycle.startMs),
      sunTerms(cycle.startMs, plan),
      bed.name,
      runLength(plan, bed.bedId, cycle.cycle, show.duration),
      ofEach(runsOf(plan, bed.bedId, cycle.cycle).map((run) => String(run.rotations))),
      show.depth(cycle.netMm),
      cycle.reasons.map((reason) => sayReason(reason, reader)).join('; '),
    ]);
}

function runsOf(plan: DayPlan, bedId: string, cycle: number): DayPlan['runs'] {
  return plan.runs.filter((run) => run.bedId === bedId && run.cycle === cycle);
}

/** Beds in the order in which they dry out. */
function worstFirst(beds: readonly BedPlan[]): BedPlan[] {
  const dry = (bed: BedPlan) => bed.dryAtMs ?? Number.POSITIVE_INFINITY;
  return beds.toSorted((a, b) => dry(a) - dry(b) || (a.bedId < b.bedId ? -1 : 1));
}

function dryAt(bed: BedPlan, plan: DayPlan, clock: SiteClock): string {
  if (bed.dryAtMs === null) return 'not today';
  if (bed.dryAtMs <= plan.startMs) return 'dry now';
  const hours = (bed.dryAtMs - plan.startMs) / 3_600_000;
  return `${clock.timeOf(bed.dryAtMs)}, ${hours.toFixed(1)} h`;
}

/** A start in terms of the sun: minutes after sunrise before noon, before sunset after it. */
export function sunTerms(startMs: number, plan: Pick<DayPlan, 'sunriseMs' | 'sunsetMs'>): string {
  if (plan.sunriseMs === null || plan.sunsetMs === null) return '';
  const noonMs = (plan.sunriseMs + plan.sunsetMs) / 2;
  const [from, sign, name] =
    startMs < noonMs ? [plan.sunriseMs, 1, 'rise'] : [plan.sunsetMs, -1, 'set'];
  const minutes = Math.round(((startMs - from) * sign) / 60_000);
  const clockText = `${Math.floor(Math.abs(minutes) / 60)}:${String(Math.abs(minutes) % 60).padStart(2, '0')}`;
  const after = sign > 0 === minutes >= 0;
  return `${name} ${after ? '+' : '-'} ${clockText}`;
}

function runLength(
  plan: DayPlan,
  bedId: string,
  cycle: number,
  duration: (s: number) => string,
): string {
  const runs = runsOf(plan, bedId, cycle);
  return ofEach(runs.map((run) => duration(run.runS)));
}

/** One value for all stations where they are alike, else each one's in their order. */
function ofEach(values: readonly string[]): string {
  const [first = '-'] = values;
  return values.every((value) => value === first) ? first : values.join(' / ');
}

export const RUN_STATE_HEADING = [
  'start',
  'bed',
  'station',
  'planned',
  'state',
  'ran',
  'flow',
  'plan',
  'on its way',
] as const;

/** One row a run: what was asked, how far it came, and what came back. Pure. */
export function runStateRows(
  states: readonly RunState[],
  given: {
    clock: SiteClock;
    show: Pick<UnitDisplay, 'duration' | 'flow'>;
    nameOf(bedId: string): string;
  },
): string[][] {
  const { clock, show, nameOf } = given;
  return states.map(({ run, state, actual, revision, outputs }) => [
    clock.timeOf(run.startMs),
    nameOf(run.bedId),
    run.stationId,
    show.duration(run.runS),
    state,
    actual === null ? '' : show.duration(actual.runS),
    actual?.flowLPerMin == null ? '' : show.flow(actual.flowLPerMin),
    `r${revision}`,
    outputs.map((one) => `${one.output} ${one.state}`).join(', '),
  ]);
}

/**
 * What the stations of one cycle run, in minutes and whole turns: said once where they are alike,
 * else station by station, so that a crew opens each valve for its own time.
 */
export function stationRuns(
  runs: readonly Pick<Run, 'bedId' | 'stationId' | 'runS' | 'rotations'>[],
  duration: (seconds: number) => string,
): string {
  const groups = new Map<string, string[]>();
  for (const { bedId, stationId, runS, rotations } of runs) {
    const words = `${duration(runS)}, ${rotations} ${rotations === 1 ? 'rotation' : 'rotations'}`;
    groups.set(words, [...(groups.get(words) ?? []), shortStationId(stationId, bedId)]);
  }
  const [first] = groups.keys();
  if (first === undefined) return '-';
  if (groups.size === 1) return first;
  return [...groups].map(([words, ids]) => `${ids.join(' and ')} ${words}`).join('; ');
}

/** A station that carries its bed's id before its own part is known by that part beside the bed. */
export function shortStationId(stationId: string, bedId: string): string {
  return stationId.startsWith(`${bedId}-`) ? stationId.slice(bedId.length + 1) : stationId;
}
