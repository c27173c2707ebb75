import { type SeedbedSand, stepStore } from '../sand/seedbed-store.ts';
import { type BedDemand, STEP_MIN, STEP_MS, type StepGrid } from './demand.ts';

const STEP_H = STEP_MIN / 60;

/**
 * The water balance of one bed over the grid, with whatever irrigation has been booked so far.
 * Booking water recomputes only what comes after it.
 */
export interface BedBalance {
  readonly sand: SeedbedSand;
  readonly grid: StepGrid;
  readonly demand: BedDemand;
  /** Net irrigation in each step, mm. */
  readonly irrigationMm: Float64Array;
  /** Store at the beginning of each step, and one more at the end. */
  readonly storeMm: Float64Array;
  /** Irrigation that the store could not hold, mm in each step. */
  readonly drainedMm: Float64Array;
}

/** The balance of a bed that gets no irrigation. */
export function dryBalance(input: {
  sand: SeedbedSand;
  grid: StepGrid;
  demand: BedDemand;
  storeNowMm: number;
}): BedBalance {
  const { sand, grid, demand, storeNowMm } = input;
  const balance: BedBalance = {
    sand,
    grid,
    demand,
    irrigationMm: new Float64Array(grid.steps),
    storeMm: new Float64Array(grid.steps + 1),
    drainedMm: new Float64Array(grid.steps),
  };
  balance.storeMm[0] = Math.min(storeNowMm, sand.capacityMm);
  recompute(balance, 0);
  return balance;
}

/** Books net irrigation evenly over `startMs` to `endMs` and brings the balance up to date. */
export function bookWater(
  balance: BedBalance,
  water: { startMs: number; endMs: number; netMm: number },
): void {
  const { grid, irrigationMm } = balance;
  const durationMs = Math.max(1, water.endMs - water.startMs);
  const first = stepAt(grid, water.startMs);
  for (let step = first; step < grid.steps; step++) {
    const stepStartMs = grid.startMs + step * STEP_MS;
    if (stepStartMs >= water.endMs) break;
    const overlapMs =
      Math.min(water.endMs, stepStartMs + STEP_MS) - Math.max(water.startMs, stepStartMs);
    irrigationMm[step] = at(irrigationMm, step) + (water.netMm * overlapMs) / durationMs;
  }
  recompute(balance, first);
}

/** Index of the step that holds an instant, kept inside the grid. */
export function stepAt(grid: StepGrid, instantMs: number): number {
  const step = Math.floor((instantMs - grid.startMs) / STEP_MS);
  return Math.min(Math.max(step, 0), Math.max(grid.steps - 1, 0));
}

/** Store at an instant, mm, straight between the steps. */
export function storeAt(balance: BedBalance, instantMs: number): number {
  const { grid, storeMm } = balance;
  const position = Math.min(Math.max((instantMs - grid.startMs) / STEP_MS, 0), grid.steps);
  const step = Math.floor(position);
  const before = at(storeMm, step);
  return before + (at(storeMm, Math.min(step + 1, grid.steps)) - before) * (position - step);
}

/**
 * First instant from `fromMs` on at which the store is at or under a level, ms; null when it stays
 * above to the end of the grid.
 */
export function firstAtOrUnder(
  balance: BedBalance,
  levelMm: number,
  fromMs: number,
): number | null {
  const { grid, storeMm } = balance;
  if (storeAt(balance, fromMs) <= levelMm) return fromMs;
  for (let step = stepAt(grid, fromMs); step < grid.steps; step++) {
    const before = at(storeMm, step);
    const after = at(storeMm, step + 1);
    if (after <= levelMm) {
      const part = before > after ? (before - levelMm) / (before - after) : 0;
      return Math.max(fromMs, grid.startMs + (step + Math.max(part, 0)) * STEP_MS);
    }
  }
  return null;
}

function recompute(balance: BedBalance, from: number): void {
  const { sand, grid, demand, irrigationMm, storeMm, drainedMm } = balance;
  let store = at(storeMm, from);
  for (let step = from; step < grid.steps; step++) {
    const irrigation = at(irrigationMm, step);
    const waterMm = irrigation + at(demand.rainMm, step);
    const after = stepStore(sand, store, {
      waterMm,
      demandMm: at(demand.demandMm, step),
      hours: STEP_H,
    });
    // Rain and irrigation that arrive together share what cannot be held.
    drainedMm[step] = waterMm > 0 ? after.drainedMm * (irrigation / waterMm) : 0;
    store = after.storeMm;
    storeMm[step + 1] = store;
  }
}

/** Typed arrays read as possibly undefined under strict indexing; inside the grid they never are. */
function at(values: Float64Array, index: number): number {
  return values[index] ?? 0;
}
