import { at as checkedAt, entryOf } from '../checked-entry.ts';
import { stateOfRow } from '../sand/seedbed-store.ts';
import {
  type BedBalance,
  balanceFrom,
  bookWater,
  seriesOf,
  stateOfStep,
  stepAt,
  stepOfBed,
  totalMm,
} from './bed-balance.ts';
import type { BedFuture, BedState } from './bed-followed.ts';
import { STEP_MS } from './demand.ts';
import { addEvenly, type StationWater } from './run.ts';
import type { Station } from './site.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

const MIDDLE_FRACTION = 0.5;

/**
 * The bed in the one of its futures that has the accepted share of them below it when that share first
 * gets dry, or at the end where it does not: a search over the day follows that one, and what it finds
 * is judged in all of them.
 */
export function atRiskAlone(balance: BedBalance): BedBalance {
  const { futures, grid, irrigationMm, riskFraction } = balance;
  if (futures.length === 1) return balance;
  const dryMs = firstAtRiskMs(balance, grid.startMs);
  const step = dryMs === null ? grid.steps : stepAt(grid, dryMs) + 1;
  const margins = balance.follower.marginsMm(stateOfStep(balance, step), step);
  const alone = futureAt(futures, margins, riskFraction);
  const found = balanceFrom({ ...balance, futures: [entryOf(futures, alone)] });
  for (const [part, own] of found.irrigationMm.entries()) own.set(irrigationMm[part] ?? []);
  found.booked.push(...balance.booked);
  return found;
}

/** The future up to which, from the driest on, this part of the weight lies. */
function futureAt(
  futures: readonly BedFuture[],
  margins: Float64Array,
  partFraction: number,
): number {
  const inOrder = [...futures.keys()].sort((a, b) => at(margins, a) - at(margins, b));
  let left = partFraction * futures.reduce((sum, one) => sum + one.weightFraction, 0);
  for (const k of inOrder) {
    left -= entryOf(futures, k).weightFraction;
    if (left <= 0) return k;
  }
  return entryOf(inOrder, inOrder.length - 1);
}

/** What is given in one cycle, and by how much more drains for it, to the end of the grid, mm. */
export function drainedFor(
  balance: BedBalance,
  ...cycles: readonly (readonly StationWater[])[]
): number {
  const beforeMm = totalMm(seriesOf(balance).drainedMm);
  bookWater(balance, ...cycles);
  return totalMm(seriesOf(balance).drainedMm) - beforeMm;
}

/**
 * By how much more drains for each of a bed's cycles, mm: what drains from its start to that of the
 * next, or to the end of the grid, beyond what drained without any of them.
 *
 * @param without The bed without these cycles.
 * @param starts Of the cycles, in order.
 */
export function drainedOfCycles(
  balance: BedBalance,
  without: BedBalance,
  starts: readonly number[],
): number[] {
  if (starts.length === 0) return [];
  const { grid } = balance;
  const { drainedMm } = seriesOf(balance);
  const { drainedMm: anywayMm } = seriesOf(without);
  return starts.map((startMs, index) => {
    const nextMs = starts[index + 1];
    const first = stepAt(grid, startMs);
    const end = nextMs === undefined ? grid.steps : stepAt(grid, nextMs);
    let mm = 0;
    for (let step = first; step < end; step++) mm += at(drainedMm, step) - at(anywayMm, step);
    return Math.max(0, mm);
  });
}

/**
 * The store: what the bed can still lose before it is dry when nothing more is given, mm at the
 * beginning of each step and one more; 0 or less while it is dry. In the middle one of the futures.
 */
export function leftMmOf(balance: BedBalance): Float64Array {
  const { grid } = balance;
  seriesOf(balance);
  if (balance.leftMm !== null) return balance.leftMm;
  const leftMm = new Float64Array(grid.steps + 1);
  let from = 0;
  const onsets = new Set(balance.booked.map(({ step }) => step));
  for (const onset of [...[...onsets].sort((a, b) => a - b), grid.steps]) {
    countBack(balance, leftMm, from, onset);
    from = onset + 1;
  }
  balance.leftMm = leftMm;
  return leftMm;
}

/** What is given in each step by the cycles that begin in this step or later, of each part, mm. */
function givenFrom({ booked, parts, grid }: BedBalance, onset: number): Float64Array[] {
  const later = booked.filter(({ step }) => step >= onset);
  return parts.map((_, part) => {
    const series = new Float64Array(grid.steps);
    for (const { water } of later) {
      const own = water[part];
      if (own !== null && own !== undefined) addEvenly(series, grid, own);
    }
    return series;
  });
}

/**
 * Writes what is left from a step to another, the last one before water begins: counts back from the
 * drying that would follow without it. Where the bed does not dry to the end of the grid, what is left
 * there is what it could still give to the grid's highest demand.
 */
function countBack(balance: BedBalance, leftMm: Float64Array, from: number, to: number): void {
  const { grid, demand, follower } = balance;
  const { marginMm } = seriesOf(balance);
  const aheadMm: number[] = [];
  let state = stateOfStep(balance, to);
  const given = givenFrom(balance, to);
  const dry = given.map(() => 0);
  let step = to;
  for (let margin = at(marginMm, to); margin > 0 && step < grid.steps; step++) {
    for (const [part, own] of given.entries()) dry[part] = -at(own, step);
    state = stepOfBed(balance, state, step, dry);
    margin = follower.margins(state, step + 1).middleMm;
    aheadMm.push(margin);
  }
  const marginAt = (one: number) =>
    one <= to ? at(marginMm, one) : entryOf(aheadMm, one - to - 1);
  let left = 0;
  for (let one = step; one >= from; one--) {
    const margin = marginAt(one);
    const lossMm = Math.max(0, at(demand.demandMm, Math.min(one, grid.steps - 1)));
    if (margin <= 0) left = margin;
    else if (one === grid.steps) left = leftAtEnd(balance, state);
    else if (marginAt(one + 1) > 0) left += lossMm;
    else left = lossMm * (margin / (margin - marginAt(one + 1)));
    if (one <= to) leftMm[one] = left;
  }
}

/** What the middle one of the futures could still give to the highest demand after the grid's end, mm. */
function leftAtEnd(
  { futures, parts, follower, grid, peakMmPerH }: BedBalance,
  end: BedState,
): number {
  const margins = follower.marginsMm(end, grid.steps);
  const k = futureAt(futures, margins, MIDDLE_FRACTION);
  const { member } = entryOf(futures, k);
  const leftMm = parts.map((_, part) =>
    member.store.leftMm(
      stateOfRow(end.rows, end.from + follower.offsetOf(part, k), member.store.rows),
      peakMmPerH * member.lossFactor,
    ),
  );
  // What the hottest hour would dry is not dry yet at the end's own loss.
  return Math.max(0, Math.min(...leftMm) / member.lossFactor);
}

/** Net water that the store can take at an instant, mm. */
export function roomAt(balance: BedBalance, instantMs: number): number {
  return Math.min(...roomsAt(balance, instantMs));
}

/** First instant from `fromMs` on at which the bed is dry in the middle one of its futures, ms, or null. */
export function firstDryMs(balance: BedBalance, fromMs: number): number | null {
  return firstCrossing(balance, balance.series.marginMm, fromMs);
}

/**
 * What is kept for what is not known, mm: what the middle one of the futures still has when the
 * accepted share of them is dry, without any more water; 0 where that is never.
 */
export function reserveOf(balance: BedBalance): number {
  const { grid } = balance;
  const riskMs = firstAtRiskMs(balance, grid.startMs);
  if (riskMs === null) return 0;
  const leftMm = leftMmOf(balance);
  const step = stepAt(grid, riskMs);
  const part = Math.min(1, (riskMs - grid.startMs) / STEP_MS - step);
  const begunMm = at(leftMm, step);
  return Math.max(0, begunMm + (at(leftMm, step + 1) - begunMm) * part);
}

/** Between which instants nine of ten futures lie; null: beyond the plan's reach. */
export interface DryBand {
  earliestMs: number | null;
  latestMs: number | null;
}

/** The two ends of the band of nine in ten of the first dry instant; null: not within the grid. */
export function dryBandMs(balance: BedBalance, fromMs: number): DryBand {
  return {
    earliestMs: firstCrossing(balance, balance.series.lowerMarginMm, fromMs),
    latestMs: firstCrossing(balance, balance.series.upperMarginMm, fromMs),
  };
}

/** Share of the futures in which the bed is dry at any of the steps that count, 0 to 1. */
export function dryRiskOf(balance: BedBalance, counts: (atMs: number) => boolean): number {
  const { futures, follower, grid } = balance;
  const isDry = futures.map(() => false);
  for (let step = 0; step <= grid.steps; step++) {
    if (!counts(grid.startMs + step * STEP_MS)) continue;
    const margins = follower.marginsMm(stateOfStep(balance, step), step);
    for (const [k, mm] of margins.entries()) if (mm < -DRY_MM) isDry[k] = true;
  }
  const total = futures.reduce((sum, one) => sum + one.weightFraction, 0);
  return futures.reduce((sum, one, k) => sum + (isDry[k] ? one.weightFraction : 0), 0) / total;
}

/** A margin so little below the dry limit is rounding of the machine. */
const DRY_MM = 1e-6;

/** First instant from `fromMs` on at which the accepted share of the futures is dry, ms; null: never. */
export function firstAtRiskMs(balance: BedBalance, fromMs: number): number | null {
  return firstCrossing(balance, balance.series.riskMarginMm, fromMs);
}

function firstCrossing(balance: BedBalance, marginMm: Float64Array, fromMs: number): number | null {
  return firstBelow(
    balance,
    (step) => {
      stateOfStep(balance, step);
      return at(marginMm, step);
    },
    fromMs,
  );
}

/** First instant from `fromMs` on at which a figure of the steps is 0 or less, ms; null: never. */
function firstBelow(
  balance: BedBalance,
  above: (step: number) => number,
  fromMs: number,
): number | null {
  const { grid } = balance;
  const first = stepAt(grid, fromMs);
  const position = isWateredIn(balance, first)
    ? 1
    : Math.min(Math.max((fromMs - grid.startMs) / STEP_MS - first, 0), 1);
  const now = above(first);
  if (now + (above(first + 1) - now) * position <= 0) return fromMs;
  for (let step = first; step < grid.steps; step++) {
    const after = above(step + 1);
    if (after > 0) continue;
    const before = above(step);
    const part = before > after ? before / (before - after) : 0;
    return Math.max(fromMs, grid.startMs + (step + Math.max(part, 0)) * STEP_MS);
  }
  return null;
}

/** First instant from `fromMs` on at which the store can take this much, ms; null when never. */
export function firstWithRoom(balance: BedBalance, netMm: number, fromMs: number): number | null {
  const { grid } = balance;
  for (let step = stepAt(grid, fromMs); step < grid.steps; step++) {
    if (Math.min(...roomsInStep(balance, step)) >= netMm) {
      return Math.max(fromMs, grid.startMs + step * STEP_MS);
    }
  }
  return null;
}

/** Room of each part in a step; where a cycle ends within it, what that one has left. */
function roomsInStep(balance: BedBalance, step: number): number[] {
  const before = balance.follower.roomsMm(stateOfStep(balance, step));
  if (!isWateredIn(balance, step)) return before;
  const after = balance.follower.roomsMm(stateOfStep(balance, step + 1));
  return before.map((mm, part) => Math.min(mm, entryOf(after, part)));
}

function isWateredIn({ irrigationMm }: BedBalance, step: number): boolean {
  return irrigationMm.some((series) => at(series, step) > 0);
}

/** What each part can take in this state, mm. */
export function roomsOfParts({ follower }: BedBalance, state: BedState): number[] {
  return follower.roomsMm(state);
}

/** What each part can take at an instant, mm; where a cycle ends within the step, what it has left. */
export function roomsAt(balance: BedBalance, instantMs: number): number[] {
  return roomsInStep(balance, stepAt(balance.grid, instantMs));
}

/** What each part gets of a cycle's runs, mm in the mean of its stations. */
export function netOfParts(
  { parts }: BedBalance,
  runs: readonly { station: { id: string }; netMm: number }[],
): number[] {
  return parts.map(({ stationIds }) => {
    const own =
      stationIds.length === 0
        ? runs
        : runs.filter(({ station }) => stationIds.includes(station.id));
    const stations = stationIds.length === 0 ? own.length : stationIds.length;
    return own.reduce((sum, { netMm }) => sum + netMm, 0) / Math.max(1, stations);
  });
}

/** How much more the part of each station could take than the wettest one, mm, in their order. */
export function drierThanWettest(
  balance: BedBalance,
  stations: readonly Pick<Station, 'id'>[],
  state: BedState,
): number[] {
  const { parts } = balance;
  if (parts.length === 1) return stations.map(() => 0);
  const roomsMm = roomsOfParts(balance, state);
  const leastMm = Math.min(...roomsMm);
  return stations.map(({ id }) => {
    const part = parts.findIndex(({ stationIds }) => stationIds.includes(id));
    return (roomsMm[part] ?? leastMm) - leastMm;
  });
}
