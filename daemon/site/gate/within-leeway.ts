import type { DayChange } from '../../../adapters/contract.ts';
import { waterOfRuns } from '../../../calc/schedule/allowances.ts';
import type { DayPlan, PlannedStation } from '../../../calc/schedule/day-plan.ts';
import {
  type BedUse,
  cyclesOfPlan,
  type StandingCycle,
  usesOf,
} from '../../../calc/schedule/leeway-change.ts';
import type { BedLeeway } from '../../../calc/schedule/plan-leeway.ts';
import type { Limits } from '../../../calc/schedule/site.ts';
import { type SupplyRule, supplyBroken } from '../../../calc/schedule/supply-rule.ts';
import { grouped } from '../../grouped.ts';

/** Why changed cycles are not within the leeway that was confirmed: a closed list. */
export type OverstepCode =
  | 'no_leeway'
  | 'bed_not_in_it'
  | 'not_of_plan'
  | 'used_twice'
  | 'moved_too_far'
  | 'too_many_spares'
  | 'outside_hours'
  | 'too_many_left_out'
  | 'too_many_rotations'
  | 'too_much_water'
  | 'supply_broken'
  | 'too_soon_after'
  | 'runs_differ';

/** What oversteps, and where; `bedId` null: the whole site. */
export interface Overstep {
  code: OverstepCode;
  bedId: string | null;
}

/** A plan with the beds in whose leeway a person let the daemon follow it. */
export interface GivenLeeway {
  plan: DayPlan;
  /** When it was confirmed: cycles that had begun by then are none of it. */
  confirmedMs: number;
  /** Null: it was confirmed as laid. */
  bedIds: readonly string[] | null;
}

/** Starts and seconds read from the store may differ by rounding. */
const ROUNDING = 1e-6;
const HELD_TO_MS = 1000;

/** The plan's cycles as a person has confirmed them: without those that had begun by then. Pure. */
export function confirmedCycles({ plan, confirmedMs }: Pick<GivenLeeway, 'plan' | 'confirmedMs'>) {
  return cyclesOfPlan(plan).filter(({ runs }) => runs.every((run) => run.startMs >= confirmedMs));
}

/** What was done within the leeway of a confirmed plan, bed by bed; nothing where it was not changed. Pure. */
export function usesOfChange(
  given: Pick<GivenLeeway, 'plan' | 'confirmedMs'>,
  change: Pick<DayChange, 'cycles'> | null,
): BedUse[] {
  return change === null ? [] : usesOf(confirmedCycles(given), change.cycles);
}

/**
 * What of changed cycles oversteps the leeway that a person has given, or null: every one of them is
 * one of the plan's within its minutes or a spare within its hours, none counts twice, and bed, mains
 * and site get no more than was confirmed. Beds out of the leeway have theirs as laid. Pure: the only
 * judge of a changed order, asked when it is made and each time that it is read.
 */
export function withinLeeway(
  given: GivenLeeway,
  cycles: readonly StandingCycle[],
): Overstep | null {
  const { plan, bedIds } = given;
  const { leeway, madeFor, ground } = plan;
  if (bedIds === null || leeway === undefined || madeFor === undefined || ground === undefined) {
    return { code: 'no_leeway', bedId: null };
  }
  const laidOf = grouped(confirmedCycles(given), ({ bedId }) => bedId);
  const ownOf = grouped(cycles, ({ bedId }) => bedId);
  const supply = supplyOf(madeFor.stations, ground.limits);
  const known = new Set(plan.beds.map((bed) => bed.bedId));
  const stranger = cycles.find(({ bedId }) => !known.has(bedId));
  if (stranger !== undefined) return { code: 'not_of_plan', bedId: stranger.bedId };
  for (const { bedId, cycles: planned } of plan.beds) {
    const own = ownOf.get(bedId) ?? [];
    const laidHere = laidOf.get(bedId) ?? [];
    const bed = leeway.beds.find((one) => one.bedId === bedId);
    const code =
      bed === undefined || !bedIds.includes(bedId)
        ? asLaid(own, laidHere)
        : bedOverstep(own, laidHere, {
            bed,
            missed: planned.length - laidHere.length,
            limits: ground.limits,
            stations: madeFor.stations.filter((station) => station.bedId === bedId),
            supply,
          });
    if (code !== null) return { code, bedId };
  }
  const runs = cycles.flatMap((cycle) => cycle.runs);
  const broken = supplyBroken(runs, supply, leeway);
  if (broken === null) return null;
  const isWater = broken.kind === 'allowance' || broken.kind === 'season_allowance';
  return { code: isWater ? 'too_much_water' : 'supply_broken', bedId: null };
}

/** The limits by the flows that the plan was made for. */
function supplyOf(
  stations: readonly PlannedStation[],
  limits: NonNullable<DayPlan['ground']>['limits'],
): SupplyRule {
  const flows = new Map(stations.map((one) => [one.stationId, one.flowLPerMin]));
  return {
    limits,
    stations: stations.map((one) => ({
      id: one.stationId,
      flowLPerMin: one.flowLPerMin,
      mainId: one.mainId ?? null,
      lateralId: one.lateralId ?? null,
    })),
    flowOf: (stationId) => flows.get(stationId) ?? Number.POSITIVE_INFINITY,
  };
}

function asLaid(
  own: readonly StandingCycle[],
  laid: readonly StandingCycle[],
): OverstepCode | null {
  const isSame =
    own.length === laid.length && own.every((one) => laid.some((was) => same(one, was)));
  return isSame ? null : 'bed_not_in_it';
}

/** Whether two cycles open the same stations at the same times for as long. Pure. */
export function same(a: StandingCycle, b: StandingCycle): boolean {
  const text = (cycle: StandingCycle) =>
    JSON.stringify([
      cycle.bedId,
      cycle.origin,
      cycle.startMs,
      cycle.runs.map((run) => [run.stationId, run.startMs, run.runS, run.rotations]),
    ]);
  return text(a) === text(b);
}

function bedOverstep(
  own: readonly StandingCycle[],
  laid: readonly StandingCycle[],
  asked: {
    bed: BedLeeway;
    missed: number;
    limits: Pick<Limits, 'restMin' | 'runStepS'>;
    stations: readonly PlannedStation[];
    supply: SupplyRule;
  },
): OverstepCode | null {
  const { bed, missed, limits, stations, supply } = asked;
  const used = new Set<string>();
  let ofPlan = 0;
  for (const cycle of own) {
    const key = JSON.stringify(cycle.origin);
    if (used.has(key)) return 'used_twice';
    used.add(key);
    const runs = runsDiffer(cycle, stations, limits.runStepS);
    if (runs !== null) return runs;
    if ('cycle' in cycle.origin) {
      const was = laid.find(({ origin }) => JSON.stringify(origin) === key);
      if (was === undefined) return 'not_of_plan';
      ofPlan++;
      if (same(cycle, was)) continue;
      if (Math.abs(cycle.startMs - was.startMs) > bed.moveMin * 60_000 + ROUNDING) {
        return 'moved_too_far';
      }
      const fromMs = Math.min(bed.fromMs, was.startMs);
      const untilMs = Math.max(bed.untilMs, was.endMs);
      if (cycle.startMs < fromMs || endOf(cycle) > untilMs + HELD_TO_MS) return 'outside_hours';
    } else {
      const { spare } = cycle.origin;
      if (!(Number.isInteger(spare) && spare >= 1 && spare <= bed.spareCycles)) {
        return 'too_many_spares';
      }
      if (cycle.startMs < bed.fromMs || endOf(cycle) > bed.untilMs + HELD_TO_MS) {
        return 'outside_hours';
      }
    }
    if (cycle.runs.some(({ rotations }) => rotations > bed.mostRotations)) {
      return 'too_many_rotations';
    }
  }
  if (bed.laidCycles - missed - ofPlan > bed.leaveOutCycles) return 'too_many_left_out';
  const litres = waterOfRuns(
    supply,
    own.flatMap(({ runs }) => runs),
  );
  if (litres > bed.mostL + ROUNDING) return 'too_much_water';
  return isTooSoon(own, laid, limits.restMin) ? 'too_soon_after' : null;
}

/** Runs are of the bed's own stations, each once, begin with the cycle and open for their rotations. */
function runsDiffer(
  { startMs, endMs, runs }: StandingCycle,
  stations: readonly PlannedStation[],
  runStepS: number,
): OverstepCode | null {
  const ids = new Set(runs.map(({ stationId }) => stationId));
  if (runs.length === 0 || ids.size !== runs.length) return 'runs_differ';
  for (const run of runs) {
    const station = stations.find(({ stationId }) => stationId === run.stationId);
    const endsMs = run.startMs + run.runS * 1000;
    if (
      station === undefined ||
      run.runS > run.rotations * station.rotationS + runStepS ||
      run.startMs < startMs - HELD_TO_MS ||
      endsMs > endMs + HELD_TO_MS
    ) {
      return 'runs_differ';
    }
  }
  return null;
}

function endOf({ runs }: StandingCycle): number {
  return Math.max(...runs.map((run) => run.startMs + run.runS * 1000));
}

/** Whether a changed cycle follows another of its bed with less rest than the site's rule asks. */
function isTooSoon(
  own: readonly StandingCycle[],
  laid: readonly StandingCycle[],
  restMin: number,
): boolean {
  const inOrder = own.toSorted((a, b) => a.startMs - b.startMs);
  const isLaid = (cycle: StandingCycle) => laid.some((was) => same(cycle, was));
  return inOrder.some((cycle, at) => {
    const before = inOrder[at - 1];
    if (before === undefined || (isLaid(before) && isLaid(cycle))) return false;
    return cycle.startMs < endOf(before) + restMin * 60_000 - HELD_TO_MS;
  });
}
