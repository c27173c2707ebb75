import { partedState, partedStore, statesOfParts } from '../sand/joined-stores.ts';
import type { SeedbedStore, StoreChange, StoreState } from '../sand/seedbed-store.ts';
import { type BedDemand, STEP_MIN, STEP_MS, type StepGrid } from './demand.ts';
import { addEvenly, type StationWater, waterOfParts } from './run.ts';
import type { Station } from './site.ts';
import { type BedPart, bedParts, bedState } from './station-states.ts';

const STEP_H = STEP_MIN / 60;

/**
 * The water balance of one bed over the grid, with whatever irrigation has been booked so far.
 * Booking water recomputes only what comes after it. Of a bed in parts the driest rules margins and
 * what is left, the wettest the room and what drains.
 */
export interface BedBalance {
  /** Of all parts together where there are several. */
  readonly store: SeedbedStore;
  /** The sand's own. */
  readonly sand: SeedbedStore;
  readonly parts: readonly BedPart[];
  readonly grid: StepGrid;
  readonly demand: BedDemand;
  /** Net irrigation of each part in each step, mm. */
  readonly irrigationMm: readonly Float64Array[];
  /** State at the beginning of each step, and one more at the end. */
  readonly states: StoreState[];
  /** Water above the dry limit at the beginning of each step, and one more at the end, mm. */
  readonly marginMm: Float64Array;
  /**
   * The store: what the bed can still lose before it is dry when nothing more is given, mm at the
   * beginning of each step and one more; 0 or less while it is dry.
   */
  readonly leftMm: Float64Array;
  /** The highest demand of the grid. */
  readonly peakMmPerH: number;
  /** What a full seedbed holds at that demand, mm. */
  readonly capacityMm: number;
  /**
   * What the reserve is a part of, mm: the capacity, or the loss over the grid where that is less. The
   * reserve is for what a forecast gets wrong until water can be given again, and a deep store does
   * not lose more for being deep.
   */
  readonly reserveBaseMm: number;
  /** Water that left the seedbed downward, rain's too, mm in each step. */
  readonly drainedMm: Float64Array;
}

/**
 * The balance of a bed that gets no irrigation, from a state at the grid's start.
 *
 * @param input.stations The bed's own, each judged by itself; left out: the bed is one part.
 */
export function dryBalance(input: {
  store: SeedbedStore;
  grid: StepGrid;
  demand: BedDemand;
  stateNow: StoreState;
  stations?: readonly Station[];
}): BedBalance {
  const { store: sand, grid, demand } = input;
  const parts = bedParts(input.stations ?? [], input.stateNow, sand);
  const [only] = parts;
  const isWhole = parts.length === 1;
  const store = isWhole ? sand : partedStore(sand, parts.length);
  const stateNow =
    isWhole && only !== undefined ? only.state : partedState(parts.map((part) => part.state));
  const peakMmPerH = Math.max(0, ...demand.demandMm) / STEP_H;
  const capacityMm = store.capacityMm(peakMmPerH);
  const balance: BedBalance = {
    store,
    sand,
    parts,
    grid,
    demand,
    irrigationMm: parts.map(() => new Float64Array(grid.steps)),
    states: new Array<StoreState>(grid.steps + 1).fill(stateNow),
    marginMm: new Float64Array(grid.steps + 1),
    leftMm: new Float64Array(grid.steps + 1),
    peakMmPerH,
    capacityMm,
    reserveBaseMm: Math.min(
      capacityMm,
      demand.demandMm.reduce((sum, mm) => sum + Math.max(0, mm), 0),
    ),
    drainedMm: new Float64Array(grid.steps),
  };
  balance.marginMm[0] = store.marginMm(stateNow, demandRate(demand, grid, 0));
  recompute(balance, 0);
  countBack(balance, 0);
  return balance;
}

/**
 * Books what stations give and brings the balance up to date. Stations that water alike share their
 * part: what they give in one cycle counts as their mean over its time.
 *
 * @param cycles What is given in one cycle each.
 * @returns By how much more drains for it, to the end of the grid, mm.
 */
export function bookWater(
  balance: BedBalance,
  ...cycles: readonly (readonly StationWater[])[]
): number {
  const { grid, parts, irrigationMm } = balance;
  const drainedBeforeMm = totalMm(balance.drainedMm);
  let first = grid.steps;
  for (const cycle of cycles) {
    for (const [index, water] of waterOfParts(parts, cycle).entries()) {
      const series = irrigationMm[index];
      if (water === null || series === undefined) continue;
      first = Math.min(first, stepAt(grid, water.startMs));
      addEvenly(series, grid, water);
    }
  }
  if (first === grid.steps) return 0;
  recompute(balance, first);
  // What the bed had left as its water began stands; only what follows has changed.
  countBack(balance, first + 1);
  return totalMm(balance.drainedMm) - drainedBeforeMm;
}

/** The same balance apart, so that a plan can be tried on it. */
export function copyBalance(balance: BedBalance): BedBalance {
  return {
    ...balance,
    irrigationMm: balance.irrigationMm.map((series) => series.slice()),
    states: balance.states.slice(),
    marginMm: balance.marginMm.slice(),
    leftMm: balance.leftMm.slice(),
    drainedMm: balance.drainedMm.slice(),
  };
}

/** Makes a balance what a tried copy of it has become. */
export function adoptBalance(balance: BedBalance, tried: BedBalance): void {
  for (const [part, series] of balance.irrigationMm.entries()) {
    series.set(tried.irrigationMm[part] ?? []);
  }
  balance.states.splice(0, balance.states.length, ...tried.states);
  balance.marginMm.set(tried.marginMm);
  balance.leftMm.set(tried.leftMm);
  balance.drainedMm.set(tried.drainedMm);
}

/** Sum of a series, mm. */
export function totalMm(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0);
}

/** Index of the step that holds an instant, kept inside the grid. */
export function stepAt(grid: StepGrid, instantMs: number): number {
  const step = Math.floor((instantMs - grid.startMs) / STEP_MS);
  return Math.min(Math.max(step, 0), Math.max(grid.steps - 1, 0));
}

/**
 * State at the end of the step that an instant ends, or at the beginning of the one it is in: of each
 * station where they differ.
 */
export function stateAt(balance: BedBalance, instantMs: number): StoreState {
  const { grid, states, parts, store } = balance;
  const step = Math.min(Math.max(Math.round((instantMs - grid.startMs) / STEP_MS), 0), grid.steps);
  const state = states[step] ?? store.full;
  if (parts.length === 1) return state;
  const own = statesOfParts(state, parts.length);
  return bedState(
    new Map(
      parts.flatMap(({ stationIds }, part) =>
        stationIds.map((id) => [id, own[part] ?? {}] as const),
      ),
    ),
  );
}

/** The step of the store over a step of the grid, with what is booked and what is given besides, mm. */
export function stepOfStore(
  { store, demand, irrigationMm }: BedBalance,
  state: StoreState,
  step: number,
  moreMm: readonly number[] = [],
): StoreChange {
  const rainMm = at(demand.rainMm, step);
  const demandMm = at(demand.demandMm, step);
  const [only] = irrigationMm;
  if (irrigationMm.length === 1 && only !== undefined) {
    const waterMm = at(only, step) + (moreMm[0] ?? 0) + rainMm;
    return store.step(state, { waterMm, demandMm, hours: STEP_H });
  }
  const partsMm = irrigationMm.map((series, part) => at(series, step) + (moreMm[part] ?? 0));
  return store.step(state, { waterMm: rainMm, partsMm, demandMm, hours: STEP_H });
}

/** Net water that the store can take at an instant, mm. */
export function roomAt(balance: BedBalance, instantMs: number): number {
  return roomInStep(balance, stepAt(balance.grid, instantMs));
}

/**
 * First instant from `fromMs` on at which no more than this part of the reserve's base is left, ms; null
 * when more is left to the end of the grid. A part of 0 asks when the bed is dry.
 */
export function firstAtPart(
  balance: BedBalance,
  partFraction: number,
  fromMs: number,
): number | null {
  const { grid, leftMm, reserveBaseMm } = balance;
  const above = (step: number) => at(leftMm, step) - partFraction * reserveBaseMm;
  const first = stepAt(grid, fromMs);
  const isWatered = isWateredIn(balance, first);
  const position = isWatered
    ? 1
    : Math.min(Math.max((fromMs - grid.startMs) / STEP_MS - first, 0), 1);
  if (above(first) + (above(first + 1) - above(first)) * position <= 0) return fromMs;
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
    if (roomInStep(balance, step) >= netMm) {
      return Math.max(fromMs, grid.startMs + step * STEP_MS);
    }
  }
  return null;
}

/** Room in a step; where a cycle ends within it, what that one has left. */
function roomInStep(balance: BedBalance, step: number): number {
  const { store, states } = balance;
  const before = store.roomMm(states[step] ?? store.full);
  if (!isWateredIn(balance, step)) return before;
  return Math.min(before, store.roomMm(states[step + 1] ?? store.full));
}

function isWateredIn({ irrigationMm }: BedBalance, step: number): boolean {
  return irrigationMm.some((series) => at(series, step) > 0);
}

function recompute(balance: BedBalance, from: number): void {
  const { store, grid, demand, states, marginMm, drainedMm } = balance;
  let state = states[from] ?? store.full;
  for (let step = from; step < grid.steps; step++) {
    const change = stepOfStore(balance, state, step);
    drainedMm[step] = change.drainedMm;
    state = change.state;
    states[step + 1] = state;
    marginMm[step + 1] = store.marginMm(state, demandRate(demand, grid, step + 1));
  }
}

/**
 * Counts back from each drying what the bed still loses until then. Where it does not dry to the
 * end of the grid, what is left there is what it could still give to the grid's highest demand.
 */
function countBack(balance: BedBalance, from: number): void {
  const { grid, demand, marginMm, leftMm } = balance;
  const end = balance.states[grid.steps] ?? balance.store.full;
  const endMm = balance.store.leftMm(end, balance.peakMmPerH);
  // What the hottest hour would dry is not dry yet at the end's own loss.
  leftMm[grid.steps] = at(marginMm, grid.steps) > 0 ? Math.max(0, endMm) : endMm;
  for (let step = grid.steps - 1; step >= from; step--) {
    const margin = at(marginMm, step);
    const next = at(marginMm, step + 1);
    const lossMm = Math.max(0, at(demand.demandMm, step));
    if (margin <= 0) leftMm[step] = margin;
    else if (next > 0) leftMm[step] = at(leftMm, step + 1) + lossMm;
    else leftMm[step] = lossMm * (margin / (margin - next));
  }
}

/** Demand of a step, mm/h; after the grid's end that of its last step. */
function demandRate(demand: BedDemand, grid: StepGrid, step: number): number {
  return Math.max(0, at(demand.demandMm, Math.min(step, grid.steps - 1))) / STEP_H;
}

/** Typed arrays read as possibly undefined under strict indexing; inside the grid they never are. */
function at(values: Float64Array, index: number): number {
  return values[index] ?? 0;
}

/** The store's own state at the beginning of the step that holds an instant. */
export function stateBefore({ grid, states, store }: BedBalance, instantMs: number): StoreState {
  return states[stepAt(grid, instantMs)] ?? store.full;
}

/** What each part can take in this state, mm. */
export function roomsOfParts({ parts, sand }: BedBalance, state: StoreState): number[] {
  if (parts.length === 1) return [sand.roomMm(state)];
  return statesOfParts(state, parts.length).map((own) => sand.roomMm(own));
}

/** What each part can take at an instant, mm; where a cycle ends within the step, what it has left. */
export function roomsAt(balance: BedBalance, instantMs: number): number[] {
  const { grid, states, store, irrigationMm } = balance;
  const step = stepAt(grid, instantMs);
  const before = roomsOfParts(balance, states[step] ?? store.full);
  if (irrigationMm.every((series) => !((series[step] ?? 0) > 0))) return before;
  const after = roomsOfParts(balance, states[step + 1] ?? store.full);
  return before.map((mm, part) => Math.min(mm, after[part] ?? mm));
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
  state: StoreState,
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
