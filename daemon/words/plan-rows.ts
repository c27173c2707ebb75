import type { BedPlan, DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { RunState } from '../site/store/run-state.ts';
import { withBand } from './dry-band-words.ts';
import type { Say } from './language.ts';
import { type Reader, sayReason, sayTo, stageWords } from './plan-words.ts';

const BED_COLUMNS = [
  'bed',
  'stage',
  'in_store',
  'dry_at',
  'loss',
  'water',
  'of_loss',
  'drains',
  'cycles',
  'lowest',
] as const;

/** Heads of the columns of `bedRows`. */
export function bedHeading(say: Say): string[] {
  return BED_COLUMNS.map((name) => say(`column.${name}`));
}

/** One row a bed, first to dry first: the same words in the terminal and on the page. */
export function bedRows(plan: DayPlan, reader: Reader): string[][] {
  const { show } = reader;
  const say = sayTo(reader);
  return worstFirst(plan.beds).map((bed) => [
    bed.name,
    stageWords(bed.stage, say),
    show.depth(bed.storeNowMm),
    dryAt(bed, plan, reader),
    show.depth(bed.lossMm),
    show.depth(bed.netMm),
    bed.percentOfLoss === null ? '-' : `${Math.round(bed.percentOfLoss)} %`,
    show.depth(bed.drainedMm),
    String(bed.cycles.length),
    sayLowest(bed, reader),
  ]);
}

/** A day's water in one line: its cycles, how long water runs, and the beds that get dry for a while. */
export function sayDayWater(plan: DayPlan, reader: Reader): string {
  const dry = plan.beds.filter(({ minutesBelowDryLimit }) => minutesBelowDryLimit > 0);
  const from = plan.shortages
    .filter(({ minutesBelowDryLimit }) => minutesBelowDryLimit > 0)
    .map(({ fromMs }) => fromMs);
  return sayTo(reader)('day.water', {
    cycles: plan.beds.reduce((sum, bed) => sum + bed.cycles.length, 0),
    water: reader.show.duration(secondsOfWater(plan.runs)),
    beds: dry.length,
    at: from.length === 0 ? 'none' : reader.clock.timeOf(Math.min(...from)),
  });
}

/** How long water runs somewhere on the site. */
function secondsOfWater(runs: readonly Run[]): number {
  let seconds = 0;
  let overMs = Number.NEGATIVE_INFINITY;
  for (const { startMs, runS } of runs.toSorted((a, b) => a.startMs - b.startMs)) {
    const endMs = startMs + runS * 1000;
    seconds += Math.max(0, endMs - Math.max(startMs, overMs)) / 1000;
    overMs = Math.max(overMs, endMs);
  }
  return seconds;
}

/** The least that a bed holds in a plan, and when. */
export function sayLowest(
  { lowestStoreMm, lowestAtMs }: Pick<BedPlan, 'lowestStoreMm' | 'lowestAtMs'>,
  reader: Reader,
): string {
  const { show, clock } = reader;
  const values = { depth: show.depth(lowestStoreMm), at: clock.timeOf(lowestAtMs) };
  return sayTo(reader)('figure.lowest', values);
}

const CYCLE_COLUMNS = ['start', 'sun', 'bed', 'each_station', 'turns', 'water', 'why'] as const;

/** Heads of the columns of `cycleRows`. */
export function cycleHeading(say: Say): string[] {
  return CYCLE_COLUMNS.map((name) => say(`column.${name}`));
}

/** One row a cycle, in order of time. */
export function cycleRows(plan: DayPlan, reader: Reader): string[][] {
  const { clock, show } = reader;
  return plan.beds
    .flatMap((bed) => bed.cycles.map((cycle) => ({ bed, cycle })))
    .sort((a, b) => a.cycle.startMs - b.cycle.startMs || (a.bed.bedId < b.bed.bedId ? -1 : 1))
    .map(({ bed, cycle }) => [
      clock.timeOf(cycle.startMs),
      sunTerms(cycle.startMs, plan, sayTo(reader)),
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

function dryAt(bed: BedPlan, plan: DayPlan, reader: Reader): string {
  const say = sayTo(reader);
  if (bed.dryAtMs === null) return withBand(say('dry_at.not_today'), bed, plan.startMs, reader);
  if (bed.dryAtMs <= plan.startMs) return say('time_to_dry.now');
  const hours = (bed.dryAtMs - plan.startMs) / 3_600_000;
  const told = `${reader.clock.timeOf(bed.dryAtMs)}, ${hours.toFixed(1)} h`;
  return withBand(told, bed, plan.startMs, reader);
}

/** A start in terms of the sun: minutes after sunrise before noon, before sunset after it. */
export function sunTerms(
  startMs: number,
  plan: Pick<DayPlan, 'sunriseMs' | 'sunsetMs'>,
  say: Say,
): string {
  if (plan.sunriseMs === null || plan.sunsetMs === null) return '';
  const noonMs = (plan.sunriseMs + plan.sunsetMs) / 2;
  const [from, sign, name] =
    startMs < noonMs
      ? ([plan.sunriseMs, 1, 'rise'] as const)
      : ([plan.sunsetMs, -1, 'set'] as const);
  const minutes = Math.round(((startMs - from) * sign) / 60_000);
  const clockText = `${Math.floor(Math.abs(minutes) / 60)}:${String(Math.abs(minutes) % 60).padStart(2, '0')}`;
  const after = sign > 0 === minutes >= 0;
  return `${say(`sun.${name}`)} ${after ? '+' : '-'} ${clockText}`;
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

const RUN_STATE_COLUMNS = [
  'start',
  'bed',
  'station',
  'planned',
  'state',
  'ran',
  'flow',
  'plan',
  'on_its_way',
] as const;

/** Heads of the columns of `runStateRows`. */
export function runStateHeading(say: Say): string[] {
  return RUN_STATE_COLUMNS.map((name) => say(`column.${name}`));
}

/** One row a run: what was asked, how far it came, and what came back. Pure. */
export function runStateRows(
  states: readonly RunState[],
  given: { reader: Reader; nameOf(bedId: string): string },
): string[][] {
  const { reader, nameOf } = given;
  const { clock, show } = reader;
  const say = sayTo(reader);
  return states.map(({ run, state, actual, revision, outputs }) => [
    clock.timeOf(run.startMs),
    nameOf(run.bedId),
    run.stationId,
    show.duration(run.runS),
    say(`run_state.${state}`),
    actual === null ? '' : show.duration(actual.runS),
    actual?.flowLPerMin == null ? '' : show.flow(actual.flowLPerMin),
    String(revision),
    outputs.map((one) => `${one.output} ${say(`run_state.${one.state}`)}`).join(', '),
  ]);
}

/**
 * What the stations of one cycle run, in minutes and whole turns: said once where they are alike,
 * else station by station, so that a crew opens each valve for its own time.
 */
export function stationRuns(
  runs: readonly Pick<Run, 'bedId' | 'stationId' | 'runS' | 'rotations'>[],
  reader: Pick<Reader, 'language' | 'show'>,
): string {
  const say = sayTo(reader);
  const groups = new Map<string, string[]>();
  for (const { bedId, stationId, runS, rotations } of runs) {
    const words = say('figure.station_runs', { duration: reader.show.duration(runS), rotations });
    groups.set(words, [...(groups.get(words) ?? []), shortStationId(stationId, bedId)]);
  }
  const [first] = groups.keys();
  if (first === undefined) return '-';
  if (groups.size === 1) return first;
  return [...groups].map(([words, ids]) => `${ids.join(say('figure.and'))} ${words}`).join('; ');
}

/** A station that carries its bed's id before its own part is known by that part beside the bed. */
export function shortStationId(stationId: string, bedId: string): string {
  return stationId.startsWith(`${bedId}-`) ? stationId.slice(bedId.length + 1) : stationId;
}
