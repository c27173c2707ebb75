import { at as checkedAt, entryOf } from '../checked-entry.ts';
import { drawnFutures } from '../futures/drawn-futures.ts';
import {
  lossOfMember,
  membersOf,
  type SandMember,
  stateOfAll,
  statesOfMembers,
} from '../futures/sand-members.ts';
import { type SeedbedStore, type StoreState, stateOfRow, writeRow } from '../sand/seedbed-store.ts';
import { type BedFollower, type BedFuture, type BedState, bedFollower } from './bed-followed.ts';
import type { DryBand } from './day-plan.ts';
import { type BedDemand, STEP_MIN, STEP_MS, type StepGrid } from './demand.ts';
import { addEvenly, type StationWater, waterOfParts } from './run.ts';
import type { Station } from './site.ts';
import { type BedPart, bedParts, bedState } from './station-states.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

const STEP_H = STEP_MIN / 60;
/** Accepted share of the futures in which a bed is dry, where none is given. */
const DEFAULT_RISK_FRACTION = 0.05;
const MIDDLE_FRACTION = 0.5;

/** What a bed is at each step, and one more at the end, in the order of the grid. */
export interface BedSeries {
  /**
   * Water above the dry limit, mm, at the beginning of each step: in the middle one of the futures,
   * with the accepted share of them below it, and at the two ends of the band of nine in ten.
   */
  marginMm: Float64Array;
  riskMarginMm: Float64Array;
  lowerMarginMm: Float64Array;
  upperMarginMm: Float64Array;
  /** Water that left the seedbed downward, rain's too, mean over the futures, mm in each step. */
  drainedMm: Float64Array;
}

/** What the parts of a bed get of one cycle, and the step in which it begins. */
interface BookedCycle {
  step: number;
  water: ReturnType<typeof waterOfParts>;
}

/**
 * The water balance of one bed over the grid, in each of its futures, with whatever irrigation has
 * been booked so far. What booked water changes is worked out once it is asked for. Of a bed in parts
 * the driest rules margins and what is left, the wettest the room and what drains.
 */
export interface BedBalance {
  /** The bed's own, by all that its sand may be. */
  readonly store: SeedbedStore;
  readonly parts: readonly BedPart[];
  readonly futures: readonly BedFuture[];
  readonly follower: BedFollower;
  readonly grid: StepGrid;
  /** Mean over the futures. */
  readonly demand: BedDemand;
  /** Accepted share of the futures in which the bed is dry. */
  readonly riskFraction: number;
  /** Net irrigation of each part in each step, mm. */
  readonly irrigationMm: readonly Float64Array[];
  /** What was booked, cycle by cycle. */
  readonly booked: BookedCycle[];
  /** States at the beginning of each step, and one more at the end. */
  readonly rows: Float64Array;
  readonly series: BedSeries;
  /** The highest demand of the grid. */
  readonly peakMmPerH: number;
  /** What a full seedbed holds at that demand, mm. */
  readonly capacityMm: number;
  /** The beginning of this step and of those before it is worked out; less where water was booked. */
  knownStep: number;
  /** What is left at each step; null: not worked out. */
  leftMm: Float64Array | null;
}

/**
 * The balance of a bed that gets no irrigation, from a state at the grid's start.
 *
 * @param input.demand The loss that the weather asks of the bed, as far as it is known.
 * @param input.weathers Ways in which the weather may turn out, from the greatest loss to the least:
 *   each is paired with one of the sands. Left out: every sand is followed through `demand`.
 * @param input.stations The bed's own, each judged by itself; left out: the bed is one part.
 */
export function dryBalance(input: {
  store: SeedbedStore;
  grid: StepGrid;
  demand: BedDemand;
  weathers?: readonly BedDemand[];
  stateNow: StoreState;
  stations?: readonly Station[];
  riskFraction?: number;
}): BedBalance {
  const { store, grid, demand, weathers = [], riskFraction = DEFAULT_RISK_FRACTION } = input;
  const members = membersOf(store);
  const futures =
    weathers.length > 0
      ? drawnFutures(members, orderOf(members, store), weathers.length).map(({ member, weather }) =>
          futureOf(members, member, entryOf(weathers, weather), 1 / weathers.length),
        )
      : members.map((one, index) => futureOf(members, index, demand, one.weightFraction));
  const mean = meanOf(futures, grid);
  const peakMmPerH = Math.max(0, ...mean.demandMm) / STEP_H;
  return balanceFrom({
    store,
    futures,
    grid,
    demand: mean,
    riskFraction,
    peakMmPerH,
    capacityMm: store.capacityMm(peakMmPerH),
    parts: bedParts(input.stations ?? [], input.stateNow, store),
  });
}

/** One part of a bed by itself, without irrigation, through the same futures. */
export function partAlone(balance: BedBalance, part: BedPart): BedBalance {
  return balanceFrom({ ...balance, parts: [part] });
}

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

function balanceFrom(
  bed: Pick<
    BedBalance,
    'store' | 'parts' | 'futures' | 'grid' | 'demand' | 'riskFraction' | 'peakMmPerH' | 'capacityMm'
  >,
): BedBalance {
  const { store, futures, parts, grid, demand, riskFraction, capacityMm, peakMmPerH } = bed;
  const members = membersOf(store);
  const follower = bedFollower({ futures, parts: parts.length, grid, riskFraction });
  const series = () => new Float64Array(grid.steps + 1);
  const balance: BedBalance = {
    store,
    parts,
    futures,
    follower,
    grid,
    demand,
    riskFraction,
    irrigationMm: parts.map(() => new Float64Array(grid.steps)),
    booked: [],
    rows: new Float64Array((grid.steps + 1) * follower.width),
    series: {
      marginMm: series(),
      riskMarginMm: series(),
      lowerMarginMm: series(),
      upperMarginMm: series(),
      drainedMm: new Float64Array(grid.steps),
    },
    peakMmPerH,
    capacityMm,
    knownStep: 0,
    leftMm: null,
  };
  for (const [part, { state }] of parts.entries()) {
    const own = statesOfMembers(state, members);
    for (const [k, { index, member }] of futures.entries()) {
      writeRow(balance.rows, follower.offsetOf(part, k), member.store.rows, entryOf(own, index));
    }
  }
  noteMargins(balance, 0);
  return balance;
}

/** Indices of the members from the soonest dry to the last: by what a full one gives to a hot midday. */
function orderOf(members: readonly SandMember[], store: SeedbedStore): number[] {
  const known = orders.get(store);
  if (known !== undefined) return known;
  const lasts = members.map(
    (one) => one.store.capacityMm(HOT_DEMAND_MM_PER_H * one.lossFactor) / one.lossFactor,
  );
  const order = members
    .map((_, index) => index)
    .sort((a, b) => entryOf(lasts, a) - entryOf(lasts, b));
  orders.set(store, order);
  return order;
}

const orders = new WeakMap<SeedbedStore, number[]>();
const HOT_DEMAND_MM_PER_H = 0.5;

function futureOf(
  members: readonly SandMember[],
  index: number,
  weather: BedDemand,
  weightFraction: number,
): BedFuture {
  const member = entryOf(members, index);
  const { demandMm, nightExtraMm, rainMm } = weather;
  const isAsTold =
    member.lossFactor === 1 && (member.nightFraction === 0 || nightExtraMm === undefined);
  const own = isAsTold
    ? demandMm
    : demandMm.map((mm, step) => lossOfMember(member, mm, nightExtraMm?.[step] ?? 0));
  return { member, index, weightFraction, demandMm: own, rainMm };
}

function meanOf(futures: readonly BedFuture[], grid: StepGrid): BedDemand {
  const [only] = futures;
  if (futures.length === 1 && only !== undefined) return only;
  const demandMm = new Float64Array(grid.steps);
  const rainMm = new Float64Array(grid.steps);
  const total = futures.reduce((sum, one) => sum + one.weightFraction, 0);
  for (const future of futures) {
    const part = future.weightFraction / total;
    for (let step = 0; step < grid.steps; step++) {
      demandMm[step] = at(demandMm, step) + part * at(future.demandMm, step);
      rainMm[step] = at(rainMm, step) + part * at(future.rainMm, step);
    }
  }
  return { demandMm, rainMm };
}

/**
 * Books what stations give; the balance follows once it is asked. Stations that water alike share
 * their part: what they give in one cycle counts as their mean over its time.
 *
 * @param cycles What is given in one cycle each.
 */
export function bookWater(
  balance: BedBalance,
  ...cycles: readonly (readonly StationWater[])[]
): void {
  const { grid, parts, irrigationMm } = balance;
  for (const cycle of cycles) {
    const ofParts = waterOfParts(parts, cycle);
    balance.booked.push({ step: stepAt(grid, beginOf(cycle)), water: ofParts });
    for (const [index, water] of ofParts.entries()) {
      const series = irrigationMm[index];
      if (water === null || series === undefined) continue;
      balance.knownStep = Math.min(balance.knownStep, stepAt(grid, water.startMs));
      balance.leftMm = null;
      addEvenly(series, grid, water);
    }
  }
}

function beginOf(cycle: readonly StationWater[]): number {
  return Math.min(...cycle.map(({ startMs }) => startMs));
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

/** The same balance apart, so that a plan can be tried on it. */
export function copyBalance(balance: BedBalance): BedBalance {
  const { series } = balance;
  return {
    ...balance,
    irrigationMm: balance.irrigationMm.map((own) => own.slice()),
    booked: [...balance.booked],
    rows: balance.rows.slice(),
    series: {
      marginMm: series.marginMm.slice(),
      riskMarginMm: series.riskMarginMm.slice(),
      lowerMarginMm: series.lowerMarginMm.slice(),
      upperMarginMm: series.upperMarginMm.slice(),
      drainedMm: series.drainedMm.slice(),
    },
  };
}

/** Makes a balance what a tried copy of it has become. */
export function adoptBalance(balance: BedBalance, tried: BedBalance): void {
  for (const [part, own] of balance.irrigationMm.entries()) own.set(tried.irrigationMm[part] ?? []);
  balance.booked.splice(0, balance.booked.length, ...tried.booked);
  balance.rows.set(tried.rows);
  balance.series.marginMm.set(tried.series.marginMm);
  balance.series.riskMarginMm.set(tried.series.riskMarginMm);
  balance.series.lowerMarginMm.set(tried.series.lowerMarginMm);
  balance.series.upperMarginMm.set(tried.series.upperMarginMm);
  balance.series.drainedMm.set(tried.series.drainedMm);
  balance.knownStep = tried.knownStep;
  balance.leftMm = tried.leftMm;
}

/** Follows the bed up to the beginning of a step. */
function follow(balance: BedBalance, toStep: number): void {
  const { follower, grid, rows, irrigationMm, series } = balance;
  const last = Math.min(toStep, grid.steps);
  const { width } = follower;
  const partsMm = irrigationMm.map(() => 0);
  for (let step = balance.knownStep; step < last; step++) {
    for (let part = 0; part < partsMm.length; part++) {
      partsMm[part] = at(entryOf(irrigationMm, part), step);
    }
    const from = { rows, from: step * width };
    const to = { rows, from: (step + 1) * width };
    series.drainedMm[step] = follower.step(from, to, step, partsMm);
    balance.knownStep = step + 1;
    noteMargins(balance, step + 1);
  }
}

function noteMargins({ follower, rows, series }: BedBalance, step: number): void {
  const margins = follower.margins({ rows, from: step * follower.width }, step);
  series.marginMm[step] = margins.middleMm;
  series.riskMarginMm[step] = margins.riskMm;
  series.lowerMarginMm[step] = margins.lowerMm;
  series.upperMarginMm[step] = margins.upperMm;
}

/** The bed at every step of the grid. */
export function seriesOf(balance: BedBalance): BedSeries {
  follow(balance, balance.grid.steps);
  return balance.series;
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
 * The bed's state at the end of the step that an instant ends, or at the beginning of the one it is
 * in, by all that its sand may be: of each station where they differ.
 *
 * @throws RangeError where only some of its sands are followed, each through a weather of its own
 */
export function stateAt(balance: BedBalance, instantMs: number): StoreState {
  const { grid, parts, follower, rows, futures } = balance;
  const members = membersOf(balance.store);
  if (futures.length !== members.length || futures.some(({ index }, k) => index !== k)) {
    throw new RangeError(
      `stateAt: has ${futures.length} futures of ${members.length} sands; ask a balance in known weather`,
    );
  }
  const step = Math.min(Math.max(Math.round((instantMs - grid.startMs) / STEP_MS), 0), grid.steps);
  follow(balance, step);
  const stateOf = (part: number) => {
    const own = members.map(({ store }, k) =>
      stateOfRow(rows, step * follower.width + follower.offsetOf(part, k), store.rows),
    );
    return isPlain(balance) ? entryOf(own, 0) : stateOfAll(members, own);
  };
  if (parts.length === 1) return stateOf(0);
  return bedState(
    new Map(
      parts.flatMap(({ stationIds }, part) => {
        const state = stateOf(part);
        return stationIds.map((id) => [id, state] as const);
      }),
    ),
  );
}

/** Whether the bed's sand is taken for known. */
function isPlain({ store }: BedBalance): boolean {
  return !('members' in store);
}

/** The states with which a balance began, of each station where they differ. */
export function stateAtStart({ parts }: BedBalance): StoreState {
  const [only] = parts;
  if (parts.length === 1 && only !== undefined) return only.state;
  return bedState(
    new Map(parts.flatMap(({ stationIds, state }) => stationIds.map((id) => [id, state] as const))),
  );
}

/** A step with what is booked and what is given besides, from a state to a new one. */
export function stepOfBed(
  { follower, irrigationMm }: BedBalance,
  state: BedState,
  step: number,
  moreMm: readonly number[] = [],
): BedState {
  const next = { rows: new Float64Array(follower.width), from: 0 };
  const partsMm = irrigationMm.map((own, part) => at(own, step) + (moreMm[part] ?? 0));
  follower.step(state, next, step, partsMm);
  return next;
}

/** The bed full, as a state of its futures. */
export function fullState({ parts, futures, follower }: BedBalance): BedState {
  const full = { rows: new Float64Array(follower.width), from: 0 };
  for (const part of parts.keys()) {
    for (const [k, { member }] of futures.entries()) {
      writeRow(full.rows, follower.offsetOf(part, k), member.store.rows, member.store.full);
    }
  }
  return full;
}

/** The bed at the beginning of a step. */
export function stateOfStep(balance: BedBalance, step: number): BedState {
  follow(balance, step);
  return { rows: balance.rows, from: step * balance.follower.width };
}

/** The bed's state at the beginning of the step that holds an instant. */
export function stateBefore(balance: BedBalance, instantMs: number): BedState {
  return stateOfStep(balance, stepAt(balance.grid, instantMs));
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
      follow(balance, step);
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
