import { at as checkedAt, entryOf } from '../checked-entry.ts';
import { stateOfRow } from '../sand/seedbed-store.ts';
import { type BedBalance, leftMmOf, seriesOf, stateOfStep, stepOfBed } from './bed-balance.ts';
import type { BedState } from './bed-followed.ts';
import type { StoreBand } from './day-plan.ts';
import { STEP_MIN } from './demand.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** The band changes slowly beside the store: so many steps of the grid lie between its values. */
const BAND_STEP_MIN = 30;
const ENDS = [
  { name: 'lowerMm', fraction: 0.05 },
  { name: 'upperMm', fraction: 0.95 },
] as const;
type End = (typeof ENDS)[number]['name'];

/**
 * The two ends of the store's band of nine in ten, mm each half hour from the grid's start: what the bed
 * can still lose before it is dry when nothing more is given, 0 or less while it is dry. Each end is
 * counted back from its own drying as `leftMmOf` counts the middle one, so that it comes to 0 where the
 * band of the first dry instant has its end. Null: the bed has one future.
 *
 * @param steps Steps of the grid that are told, and one value more at their end.
 */
export function storeBand(balance: BedBalance, steps: number): StoreBand | null {
  if (balance.futures.length <= 1) return null;
  const { grid } = balance;
  const leftMm = {
    lowerMm: new Float64Array(grid.steps + 1),
    upperMm: new Float64Array(grid.steps + 1),
  };
  let from = 0;
  for (const onset of [...onsetsBefore(balance, steps), grid.steps]) {
    if (onset >= from) countBack(balance, leftMm, from, onset);
    from = onset + 1;
  }
  const middleMm = leftMmOf(balance);
  const every = BAND_STEP_MIN / STEP_MIN;
  const told = Array.from({ length: Math.floor(steps / every) + 1 }, (_, index) => index * every);
  return {
    stepMin: BAND_STEP_MIN,
    // What is left at the grid's end is reckoned future by future: there the ends could cross the middle.
    lowerMm: told.map((step) => Math.min(at(leftMm.lowerMm, step), at(middleMm, step))),
    upperMm: told.map((step) => Math.max(at(leftMm.upperMm, step), at(middleMm, step))),
  };
}

/** Steps that are told, and in which water of a cycle begins; after them nothing is told. */
function onsetsBefore({ irrigationMm, grid }: BedBalance, steps: number): number[] {
  const isOn = (step: number) => irrigationMm.some((own) => (own[step] ?? 0) > 0);
  const onsets = Array.from({ length: grid.steps }, (_, step) => step).filter(
    (step) => isOn(step) && !(step > 0 && isOn(step - 1)),
  );
  const last = onsets.findIndex((step) => step >= steps);
  return last === -1 ? onsets : onsets.slice(0, last + 1);
}

/** Writes both ends from a step to another, the last one before water begins. */
function countBack(
  balance: BedBalance,
  leftMm: Record<End, Float64Array>,
  from: number,
  to: number,
): void {
  const { grid, demand, follower, irrigationMm } = balance;
  const { lowerMarginMm, upperMarginMm } = seriesOf(balance);
  const passedMm = { lowerMm: lowerMarginMm, upperMm: upperMarginMm };
  const aheadMm: Record<End, number[]> = { lowerMm: [], upperMm: [] };
  let state = stateOfStep(balance, to);
  let step = to;
  for (let upper = at(upperMarginMm, to); upper > 0 && step < grid.steps; step++) {
    // What is booked there is taken back: the bed dries without it.
    const dry = irrigationMm.map((own) => -at(own, step));
    state = stepOfBed(balance, state, step, dry);
    const margins = follower.margins(state, step + 1);
    upper = margins.upperMm;
    aheadMm.lowerMm.push(margins.lowerMm);
    aheadMm.upperMm.push(upper);
  }
  for (const { name, fraction } of ENDS) {
    const marginAt = (one: number) =>
      one <= to ? at(passedMm[name], one) : entryOf(aheadMm[name], one - to - 1);
    let left = 0;
    for (let one = step; one >= from; one--) {
      const margin = marginAt(one);
      const lossMm = Math.max(0, at(demand.demandMm, Math.min(one, grid.steps - 1)));
      if (margin <= 0) left = margin;
      else if (one === grid.steps) left = leftAtEnd(balance, state, fraction);
      else if (marginAt(one + 1) > 0) left += lossMm;
      else left = lossMm * (margin / (margin - marginAt(one + 1)));
      if (one <= to) leftMm[name][one] = left;
    }
  }
}

/** What the future at one end could still give to the highest demand after the grid's end, mm. */
function leftAtEnd(
  { futures, parts, follower, grid, peakMmPerH }: BedBalance,
  end: BedState,
  fraction: number,
): number {
  const margins = follower.marginsMm(end, grid.steps);
  const inOrder = [...futures.keys()].sort((a, b) => at(margins, a) - at(margins, b));
  const k = entryOf(inOrder, Math.floor(fraction * (futures.length - 1)));
  const { member } = entryOf(futures, k);
  const leftMm = parts.map((_, part) =>
    member.store.leftMm(
      stateOfRow(end.rows, end.from + follower.offsetOf(part, k), member.store.rows),
      peakMmPerH * member.lossFactor,
    ),
  );
  return Math.max(0, Math.min(...leftMm) / member.lossFactor);
}
