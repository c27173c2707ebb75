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
import { type BedDemand, STEP_MIN, STEP_MS, type StepGrid } from './demand.ts';
import { addEvenly, type StationWater, waterOfParts } from './run.ts';
import type { Station } from './site.ts';
import { type BedPart, bedParts, bedState } from './station-states.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

const STEP_H = STEP_MIN / 60;
/** Accepted share of the futures in which a bed is dry, where none is given. */
const DEFAULT_RISK_FRACTION = 0.05;

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

export function balanceFrom(
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
  const { demandMm, nightExtraMm, rainMm, netFactor } = weather;
  const isAsTold =
    member.lossFactor === 1 && (member.nightFraction === 0 || nightExtraMm === undefined);
  const own = isAsTold
    ? demandMm
    : demandMm.map((mm, step) => lossOfMember(member, mm, nightExtraMm?.[step] ?? 0));
  const reaches = netFactor === undefined ? {} : { netFactor };
  return { member, index, weightFraction, demandMm: own, rainMm, ...reaches };
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
