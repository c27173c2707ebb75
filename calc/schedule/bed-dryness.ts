import { at as checkedAt } from '../checked-entry.ts';
import { type BedBalance, seriesOf, stateOfStep, stepOfBed } from './bed-balance.ts';
import type { BedState } from './bed-followed.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { WaterWindow } from './due-window.ts';
import { type StationWater, waterOfParts } from './run.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** A margin so little below the dry limit is rounding of the machine. */
const DRY_MM = 1e-6;

/** How dry a bed gets: for how long, and how far below its limit. */
export interface Dryness {
  dryMin: number;
  /** Depth below the dry limit summed over the minutes, mm min. */
  shortfallMmMin: number;
}

/** The steps in which a bed may not be dry: by daylight, and while it loses water. */
function mustBeMoist(balance: BedBalance, window: WaterWindow, step: number): boolean {
  const { grid, demand } = balance;
  if ((demand.demandMm[step] ?? 0) > 0) return true;
  const atMs = grid.startMs + step * STEP_MS;
  return atMs >= (window.sunriseMs ?? Number.POSITIVE_INFINITY) && atMs < (window.sunsetMs ?? 0);
}

/** How dry a bed gets until tomorrow's first water. */
export function drynessOf(balance: BedBalance, window: WaterWindow): Dryness {
  const { grid } = balance;
  const { marginMm } = seriesOf(balance);
  const dryness = { dryMin: 0, shortfallMmMin: 0 };
  for (let step = 0; step < grid.steps; step++) {
    if (grid.startMs + step * STEP_MS >= window.nextFirstStartMs) break;
    const margin = marginMm[step] ?? 0;
    if (margin >= -DRY_MM || !mustBeMoist(balance, window, step)) continue;
    dryness.dryMin += STEP_MIN;
    dryness.shortfallMmMin -= margin * STEP_MIN;
  }
  return dryness;
}

/** Minutes from sunrise to sunset in which a bed is dry: what a plan tells of it. */
export function dryByDayMin(balance: BedBalance, window: WaterWindow): number {
  const { grid } = balance;
  const { marginMm } = seriesOf(balance);
  const { sunriseMs = window.firstStartMs, sunsetMs = window.lastEndMs } = window;
  let dryMin = 0;
  for (let step = 0; step < grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    const isDay = atMs >= sunriseMs && atMs < sunsetMs;
    if (isDay && (marginMm[step] ?? 0) < -DRY_MM) dryMin += STEP_MIN;
  }
  return dryMin;
}

/**
 * How dry a bed gets with one watering more, without booking it; null as soon as it is sure to be dry
 * for longer than `mostMin`. Follows only what the watering changes.
 *
 * @param tried.tries Gets less by what it costs to follow the bed.
 * @param tried.water What its stations give.
 * @param tried.untilMs From here on the bed is not dry without it either.
 */
export function drynessWith(
  balance: BedBalance,
  window: WaterWindow,
  tried: {
    water: readonly StationWater[];
    mostMin: number;
    untilMs: number;
    tries: { most: number };
  },
): Dryness | null {
  const { store, grid, follower } = balance;
  const { marginMm } = seriesOf(balance);
  const { water, mostMin, untilMs } = tried;
  const ofParts = waterOfParts(balance.parts, water);
  const firstMs = Math.min(...water.map(({ startMs }) => startMs));
  const lastMs = Math.max(...water.map(({ endMs }) => endMs));
  const first = Math.max(0, Math.floor((firstMs - grid.startMs) / STEP_MS));
  const dryness = { dryMin: 0, shortfallMmMin: 0 };
  let state = stateOfStep(balance, first);
  let isAlike = false;
  const costOfStep =
    (store.isAdditive ? ADDITIVE_STEP_TRIES : MODEL_STEP_TRIES) *
    balance.parts.length *
    balance.futures.length;
  for (let step = 0; step < grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    if (atMs >= untilMs) break;
    const base = marginMm[step] ?? 0;
    // More water never makes a bed drier: what was moist stays so.
    if (base < -DRY_MM && mustBeMoist(balance, window, step)) {
      const isSame = step <= first || isAlike;
      const margin = isSame ? base : follower.margins(state, step).middleMm;
      if (margin < -DRY_MM) {
        dryness.dryMin += STEP_MIN;
        dryness.shortfallMmMin -= margin * STEP_MIN;
        if (dryness.dryMin > mostMin) return null;
      }
    }
    if (step < first || isAlike) continue;
    tried.tries.most -= costOfStep;
    const moreMm = atMs < lastMs ? ofParts.map((one) => withinStep(one, atMs)) : NOTHING;
    state = stepOfBed(balance, state, step, moreMm);
    isAlike =
      atMs + STEP_MS >= lastMs && isSameState(balance, state, stateOfStep(balance, step + 1));
  }
  return dryness;
}

/** Of water that is given evenly what falls into a step, mm. */
function withinStep(water: Omit<StationWater, 'stationId'> | null, stepMs: number): number {
  if (water === null) return 0;
  const { startMs, endMs, netMm } = water;
  const partMs = Math.min(endMs, stepMs + STEP_MS) - Math.max(startMs, stepMs);
  return (netMm * Math.max(0, partMs)) / Math.max(1, endMs - startMs);
}

const NOTHING: readonly number[] = [];
/** What a step of a store costs against trying one start. */
const ADDITIVE_STEP_TRIES = 0.1;
const MODEL_STEP_TRIES = 4;
/** States so near to each other tell no dry step apart. */
const ALIKE_MM = 1e-4;

/** Full again, say: from there on the watering changes nothing. */
function isSameState({ follower }: BedBalance, a: BedState, b: BedState): boolean {
  for (let i = 0; i < follower.width; i++) {
    if (Math.abs(at(a.rows, a.from + i) - at(b.rows, b.from + i)) > ALIKE_MM) return false;
  }
  return true;
}

/** End of the last step in which a bed is dry, ms; null when it never is. */
export function lastDryMs(balance: BedBalance, window: WaterWindow): number | null {
  const { grid } = balance;
  const { marginMm } = seriesOf(balance);
  for (let step = grid.steps - 1; step >= 0; step--) {
    const atMs = grid.startMs + step * STEP_MS;
    if (atMs >= window.nextFirstStartMs) continue;
    if ((marginMm[step] ?? 0) < -DRY_MM && mustBeMoist(balance, window, step))
      return atMs + STEP_MS;
  }
  return null;
}

/** Whether the first is less dry: for fewer minutes, or as many and not so far. */
export function isLessDry(a: Dryness, b: Dryness): boolean {
  if (a.dryMin !== b.dryMin) return a.dryMin < b.dryMin;
  return a.shortfallMmMin < b.shortfallMmMin * (1 - LEAST_GAIN_FRACTION);
}

/** A smaller part of the shortfall is no gain that water should be given for. */
const LEAST_GAIN_FRACTION = 0.02;

/** What a placement costs, in the order in which it counts. */
export interface PlacementCost {
  /** Minutes past the dry limit, while water is lost: they can cost the stand. */
  minutesBelowDryLimit: number;
  /** Minutes in which the accepted share of the futures is dry, those among them. */
  minutesBelowReserve: number;
  cycles: number;
  netMm: number;
}

/** A bed's cost, and when its trouble begins. */
export interface BedCost extends PlacementCost {
  /** First instant at risk; null when there is none. */
  firstShortMs: number | null;
}

/** What one bed's finished day costs. */
export function bedCost(
  balance: BedBalance,
  cycles: readonly { block: { netMm: number } }[],
  { window }: { window: WaterWindow },
): BedCost {
  const { grid, demand } = balance;
  const { marginMm, riskMarginMm } = seriesOf(balance);
  let minutesBelowDryLimit = 0;
  let minutesBelowReserve = 0;
  let firstShortMs: number | null = null;
  for (let step = 0; step < grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    if (atMs >= window.nextFirstStartMs) break;
    const isLosing = (demand.demandMm[step] ?? 0) > 0;
    if (!isLosing || (riskMarginMm[step] ?? 0) >= -DRY_MM) continue;
    minutesBelowReserve += STEP_MIN;
    if ((marginMm[step] ?? 0) < -DRY_MM) minutesBelowDryLimit += STEP_MIN;
    firstShortMs ??= atMs;
  }
  return {
    minutesBelowDryLimit,
    minutesBelowReserve,
    firstShortMs,
    cycles: cycles.length,
    netMm: cycles.reduce((sum, cycle) => sum + cycle.block.netMm, 0),
  };
}

export function sumOfCosts(costs: readonly PlacementCost[]): PlacementCost {
  return costs.reduce(
    (sum, one) => ({
      minutesBelowDryLimit: sum.minutesBelowDryLimit + one.minutesBelowDryLimit,
      minutesBelowReserve: sum.minutesBelowReserve + one.minutesBelowReserve,
      cycles: sum.cycles + one.cycles,
      netMm: sum.netMm + one.netMm,
    }),
    { minutesBelowDryLimit: 0, minutesBelowReserve: 0, cycles: 0, netMm: 0 },
  );
}

export function isCheaper(a: PlacementCost, b: PlacementCost): boolean {
  if (isDryLonger(a, b) || isDryLonger(b, a)) return isDryLonger(b, a);
  if (a.cycles !== b.cycles) return a.cycles < b.cycles;
  return a.netMm < b.netMm - 1e-9;
}

/** Whether the first leaves beds dry, or else at risk, for longer. */
export function isDryLonger(
  a: Pick<PlacementCost, 'minutesBelowDryLimit' | 'minutesBelowReserve'>,
  b: Pick<PlacementCost, 'minutesBelowDryLimit' | 'minutesBelowReserve'>,
): boolean {
  if (a.minutesBelowDryLimit !== b.minutesBelowDryLimit) {
    return a.minutesBelowDryLimit > b.minutesBelowDryLimit;
  }
  return a.minutesBelowReserve > b.minutesBelowReserve;
}
