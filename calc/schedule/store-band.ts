import { at as checkedAt, entryOf } from '../checked-entry.ts';
import { stateOfRow } from '../sand/seedbed-store.ts';
import { type BedBalance, seriesOf, stateOfStep } from './bed-balance.ts';
import { bedFollower } from './bed-followed.ts';
import { leftMmOf } from './bed-moisture.ts';
import type { StoreBand } from './day-plan.ts';
import { STEP_MIN } from './demand.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** Time between two values of the band: it changes slowly beside the store. */
const BAND_STEP_MIN = 30;
const LOWER_FRACTION = 0.05;
const UPPER_FRACTION = 0.95;

/** One end of the band: the margins there, mm, and the share of the futures below it. */
interface BandEnd {
  marginMm: Float64Array;
  fraction: number;
}

/**
 * The two ends of the store's band of nine in ten, mm each half hour from the grid's start: what the bed
 * can still lose before it is dry when nothing more is given, 0 or less while it is dry. Each end is
 * counted back from its own drying as `leftMmOf` counts the middle one, and comes to 0 where that share
 * of the futures is dry. Where a cycle keeps the bed from drying, one future stands for the end: the one
 * that by its margin and its loss ahead would dry there. Null: the bed has one future.
 *
 * @param steps Steps of the grid that are told, with one value at their end.
 */
export function storeBand(balance: BedBalance, steps: number): StoreBand | null {
  if (balance.futures.length <= 1) return null;
  const series = seriesOf(balance);
  const onsets = onsetsOf(balance, steps);
  const lowerMm = endMm(balance, onsets, {
    marginMm: series.lowerMarginMm,
    fraction: LOWER_FRACTION,
  });
  const upperMm = endMm(balance, onsets, {
    marginMm: series.upperMarginMm,
    fraction: UPPER_FRACTION,
  });
  const middleMm = leftMmOf(balance);
  const every = BAND_STEP_MIN / STEP_MIN;
  const told = Array.from({ length: Math.floor(steps / every) + 1 }, (_, index) => index * every);
  return {
    stepMin: BAND_STEP_MIN,
    // One future stands for an end beyond a cycle's onset: there it could cross the middle.
    lowerMm: told.map((step) => Math.min(at(lowerMm, step), at(middleMm, step))),
    upperMm: told.map((step) => Math.max(at(upperMm, step), at(middleMm, step))),
  };
}

/** Steps in which water of a cycle begins, to the first after those that are told, or the grid's end. */
function onsetsOf({ irrigationMm, grid }: BedBalance, steps: number): number[] {
  const isOn = (step: number) => irrigationMm.some((own) => (own[step] ?? 0) > 0);
  const onsets: number[] = [];
  for (let step = 0; step < grid.steps; step++) {
    if (!isOn(step) || (step > 0 && isOn(step - 1))) continue;
    onsets.push(step);
    if (step >= steps) return onsets;
  }
  return [...onsets, grid.steps];
}

/** One end at the beginning of each step, mm, counted back from the drying before each onset. */
function endMm(balance: BedBalance, onsets: readonly number[], end: BandEnd): Float64Array {
  const { grid, demand } = balance;
  const leftMm = new Float64Array(grid.steps + 1);
  let from = 0;
  for (const onset of onsets) {
    let left = at(end.marginMm, onset) > 0 ? leftAhead(balance, onset, end) : 0;
    for (let step = onset; step >= from; step--) {
      const margin = at(end.marginMm, step);
      if (margin <= 0) left = margin;
      else if (step < onset) {
        const next = at(end.marginMm, step + 1);
        const lossMm = Math.max(0, at(demand.demandMm, step));
        left = next > 0 ? left + lossMm : lossMm * (margin / (margin - next));
      }
      leftMm[step] = left;
    }
    from = onset + 1;
  }
  return leftMm;
}

/**
 * What one end can still lose from an onset on when its water and all that follows is left out, mm:
 * the mean loss until the future that stands for it gets dry. To the grid's end and what it could
 * still give to the highest demand where it does not.
 */
function leftAhead(balance: BedBalance, onset: number, end: BandEnd): number {
  const { grid, parts, follower, demand, riskFraction, peakMmPerH } = balance;
  const start = stateOfStep(balance, onset);
  const k = futureAt(balance, onset, end.fraction);
  const future = entryOf(balance.futures, k);
  const alone = bedFollower({ futures: [future], parts: parts.length, grid, riskFraction });
  const state = { rows: new Float64Array(alone.width), from: 0 };
  const { rows } = future.member.store;
  for (const part of parts.keys()) {
    const own = start.from + follower.offsetOf(part, k);
    for (let i = 0; i < rows.names.length; i++) {
      state.rows[alone.offsetOf(part, 0) + i] = at(start.rows, own + i);
    }
  }
  const without = parts.map(() => 0);
  let lostMm = 0;
  let margin = alone.margins(state, onset).middleMm;
  for (let step = onset; step < grid.steps; step++) {
    if (margin <= 0) return lostMm;
    alone.step(state, state, step, without);
    const next = alone.margins(state, step + 1).middleMm;
    const lossMm = Math.max(0, at(demand.demandMm, step));
    lostMm += next > 0 ? lossMm : lossMm * (margin / (margin - next));
    margin = next;
  }
  if (margin <= 0) return lostMm;
  const { store, lossFactor } = future.member;
  const restMm = parts.map((_, part) =>
    store.leftMm(stateOfRow(state.rows, alone.offsetOf(part, 0), rows), peakMmPerH * lossFactor),
  );
  return lostMm + Math.max(0, Math.min(...restMm) / lossFactor);
}

/** The future before which this share of them would have lost its margin, without any more water. */
function futureAt(balance: BedBalance, onset: number, fraction: number): number {
  const { futures, follower, grid } = balance;
  const margins = follower.marginsMm(stateOfStep(balance, onset), onset);
  const stepsLeft = futures.map(({ demandMm }, k) => {
    let margin = at(margins, k);
    let step = onset;
    for (; step < grid.steps; step++) {
      const lossMm = Math.max(0, at(demandMm, step));
      if (margin <= lossMm) return step + (lossMm > 0 ? margin / lossMm : 0);
      margin -= lossMm;
    }
    return step + margin;
  });
  const inOrder = [...futures.keys()].sort((a, b) => entryOf(stepsLeft, a) - entryOf(stepsLeft, b));
  const total = futures.reduce((sum, one) => sum + one.weightFraction, 0);
  let below = 0;
  for (const k of inOrder) {
    const { weightFraction } = entryOf(futures, k);
    if (below + weightFraction > fraction * total) return k;
    below += weightFraction;
  }
  return entryOf(inOrder, inOrder.length - 1);
}
