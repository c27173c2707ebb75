import { type BedBalance, bookWater, copyBalance } from './bed-balance.ts';
import { type BedCost, bedCost, drynessOf, isLessDry } from './bed-dryness.ts';
import { atRiskAlone, drainedOfCycles, netOfParts, roomAt, roomsAt } from './bed-moisture.ts';
import { bedPath } from './bed-path.ts';
import { stationWaterOf } from './cycle-block.ts';
import {
  type PassResult,
  type PlacedCycle,
  type PlacementInput,
  restedFromMs,
  timelineOfKept,
} from './placement-pass.ts';
import { shortStandstills } from './pump-rest.ts';
import {
  type Candidate,
  findObstacle,
  type PlacementBed,
  type Search,
  wholeDoses,
} from './start-search.ts';
import {
  bookSupply,
  type SupplyTimeline,
  supplyLoad,
  supplyTimeline,
  unbookSupply,
} from './supply-timeline.ts';

/** A cycle in a layout. */
export interface LaidBedCycle extends Candidate {
  drainedMm: number;
  /** What it was moved for once all was safe. */
  movedFor: MovedFor | null;
}

/** A bed's cycles in a layout that can be taken out and laid anew. */
export interface LaidBed {
  placing: PlacementBed;
  /** First instant at which a new cycle may start. */
  freeFromMs: number;
  cycles: LaidBedCycle[];
  balance: BedBalance;
  cost: BedCost;
}

/** The whole day as it is laid: beds, and what they ask of the supply together. */
export interface DayLayout {
  input: PlacementInput;
  timeline: SupplyTimeline;
  beds: LaidBed[];
}

/** The layout that a pass has given. */
export function layoutOf(input: PlacementInput, pass: PassResult): DayLayout {
  const timeline = timelineOfKept(input);
  const ownCycles = new Map<string, PlacedCycle[]>();
  for (const cycle of pass.cycles) {
    ownCycles.set(cycle.bedId, [...(ownCycles.get(cycle.bedId) ?? []), cycle]);
    bookSupply(timeline, supplyLoad(timeline, cycle.block), cycle.startMs);
  }
  const beds = input.beds.map((placing, index): LaidBed => {
    const cycles = (ownCycles.get(placing.bed.id) ?? []).map((cycle) => ({
      ...cycle,
      roomMm: 0,
      movedFor: null,
    }));
    const balance = pass.balances[index] ?? placing.balance;
    return {
      placing,
      freeFromMs: restedFromMs(input, placing.bed.id),
      cycles,
      balance,
      cost: bedCost(balance, cycles, input),
    };
  });
  return { input, timeline, beds };
}

/** Takes a bed's cycles out of the supply. */
export function takeOut({ timeline }: DayLayout, bed: LaidBed): void {
  for (const { block, startMs } of bed.cycles) {
    unbookSupply(timeline, supplyLoad(timeline, block), startMs);
  }
}

/** Puts a bed's cycles back as they were. */
export function putBack({ timeline }: DayLayout, bed: LaidBed): void {
  for (const { block, startMs } of bed.cycles) {
    bookSupply(timeline, supplyLoad(timeline, block), startMs);
  }
}

/** Whether a changed day stays within the water that may run, and lets the pump stand as long as before. */
export function keepsSupply({ timeline }: DayLayout, standstillsBefore: number): boolean {
  const { bookedL, allowedL } = timeline.water;
  return bookedL <= allowedL + 1e-6 && shortStandstills(timeline) <= standstillsBefore;
}

/** What was worked out of the beds of a day: the others have no part in it. */
const aloneKnown = new WeakMap<PlacementInput, Map<string, number>>();

/** For how long a bed would be short with the supply all to itself, minutes. */
export function aloneMinutes({ input }: DayLayout, bed: LaidBed): number {
  const known = aloneKnown.get(input) ?? new Map<string, number>();
  aloneKnown.set(input, known);
  const { id } = bed.placing.bed;
  const standing = known.get(id);
  if (standing !== undefined) return standing;
  const { limits, window, startMs, slotMs, before } = input;
  const timeline = supplyTimeline(limits, { startMs, endMs: window.lastEndMs, slotMs, before });
  const minutes = layAnew({ input, timeline, beds: [] }, bed).cost.minutesBelowReserve;
  known.set(id, minutes);
  return minutes;
}

/** The bed with its best cycles among the others; its old ones must be out, its new ones are in. */
export function layAnew(layout: DayLayout, bed: LaidBed): LaidBed {
  const { input, timeline } = layout;
  const search: Search = { ...input, timeline };
  const alone = { ...bed.placing, balance: atRiskAlone(bed.placing.balance) };
  const path = bedPath(alone, { ...search, fromMs: bed.freeFromMs });
  const balance = copyBalance(bed.placing.balance);
  for (const { startMs, block } of path) bookWater(balance, stationWaterOf(block, startMs));
  const cycles = withDrained(
    path.map((candidate) => ({ ...candidate, drainedMm: 0, movedFor: null })),
    balance,
    bed,
  );
  const laid = { ...bed, cycles, balance, cost: bedCost(balance, cycles, input) };
  putBack(layout, laid);
  return laid;
}

/** What a cycle was moved for once all was safe: a level flow, a lull of the wind, or its place in the plan in force. */
type MovedFor = 'level' | 'lull' | 'former';

export function isSameCycle(a: LaidBedCycle, b: LaidBedCycle): boolean {
  return a.startMs === b.startMs && a.block === b.block;
}

/**
 * Where a bed is dry, the last rotation of a dose may drain in part: some water lost is the smaller
 * loss. What would drain whole is too much, of a bed in parts on any of them.
 *
 * @param backMm Room that comes besides: what has drained of the cycle itself.
 */
export function drainsWholeRotation(
  balance: BedBalance,
  { block, startMs, roomMm }: Pick<Candidate, 'block' | 'startMs' | 'roomMm'>,
  backMm = 0,
): boolean {
  if (balance.parts.length === 1) return block.oneFewerMm > roomMm + backMm + 1e-9;
  const fewer = block.runs.map(({ station, netMm, rotations }) => {
    return { station, netMm: (netMm * (rotations - 1)) / rotations };
  });
  const roomsMm = roomsAt(balance, startMs);
  return netOfParts(balance, fewer).some((mm, part) => mm > (roomsMm[part] ?? 0) + backMm + 1e-9);
}

/** The bed's balance with these cycles and no other. */
export function balanceWith({ placing }: LaidBed, cycles: readonly LaidBedCycle[]): BedBalance {
  const balance = copyBalance(placing.balance);
  bookWater(balance, ...cycles.map(({ block, startMs }) => stationWaterOf(block, startMs)));
  return balance;
}

/** The bed with these cycles and no other, not booked. */
export function withCycles(
  { input }: DayLayout,
  bed: LaidBed,
  kept: readonly LaidBedCycle[],
): LaidBed {
  const balance = copyBalance(bed.placing.balance);
  for (const { startMs, block } of kept) bookWater(balance, stationWaterOf(block, startMs));
  const cycles = withDrained(kept, balance, bed);
  return { ...bed, cycles, balance, cost: bedCost(balance, cycles, input) };
}

/** The cycles with what drains for each of them. */
function withDrained(
  cycles: readonly LaidBedCycle[],
  balance: BedBalance,
  { placing }: LaidBed,
): LaidBedCycle[] {
  const inOrder = cycles.toSorted((a, b) => a.startMs - b.startMs);
  const starts = inOrder.map(({ startMs }) => startMs);
  const drained = drainedOfCycles(balance, placing.balance, starts);
  return inOrder.map((cycle, at) => ({ ...cycle, drainedMm: drained[at] ?? 0 }));
}

/**
 * The bed with these cycles, booked in place of those that it has. A later dose of several rotations
 * that has no room any more becomes less; where it cannot, since the pump would stand still for too
 * short a while, some of it drains. Null, and all as it was, when neither fits or the bed is no less
 * dry.
 */
export function laidWith(
  layout: DayLayout,
  bed: LaidBed,
  wanted: readonly LaidBedCycle[],
): LaidBed | null {
  const inOrder = wanted.toSorted((a, b) => a.startMs - b.startMs);
  const within = withinRooms(layout, bed, inOrder);
  const laid = bookedInstead(layout, bed, within);
  const isCut = within.cycles.some(({ block }, at) => block !== inOrder[at]?.block);
  if (laid !== null || !isCut) return laid;
  return bookedInstead(layout, bed, withCycles(layout, bed, inOrder));
}

/** The bed with these cycles, each no more than its room takes, not booked. */
function withinRooms(layout: DayLayout, bed: LaidBed, inOrder: readonly LaidBedCycle[]): LaidBed {
  const balance = copyBalance(bed.placing.balance);
  const cycles: LaidBedCycle[] = [];
  for (const one of inOrder) {
    const roomMm = roomAt(balance, one.startMs);
    const cycle = withinRoom(layout, bed, balance, { ...one, roomMm });
    bookWater(balance, stationWaterOf(cycle.block, cycle.startMs));
    cycles.push(cycle);
  }
  const drained = withDrained(cycles, balance, bed);
  return { ...bed, cycles: drained, balance, cost: bedCost(balance, drained, layout.input) };
}

/** Books the one in place of the other; null, and all as it was, when that does not go or help. */
function bookedInstead(layout: DayLayout, bed: LaidBed, laid: LaidBed): LaidBed | null {
  const { input, timeline } = layout;
  const { window } = input;
  if (!isLessDry(drynessOf(laid.balance, window), drynessOf(bed.balance, window))) return null;
  const standstills = shortStandstills(timeline);
  takeOut(layout, bed);
  const search: Search = { ...input, timeline };
  const booked: LaidBed = { ...laid, cycles: [] };
  for (const cycle of laid.cycles) {
    const isKept = bed.cycles.some((one) => isSameCycle(one, cycle));
    if (!isKept && findObstacle(bed.placing, search, cycle) !== null) break;
    putBack(layout, { ...laid, cycles: [cycle] });
    booked.cycles.push(cycle);
  }
  const isWhole = booked.cycles.length === laid.cycles.length;
  if (isWhole && shortStandstills(timeline) <= standstills) return laid;
  takeOut(layout, booked);
  putBack(layout, bed);
  return null;
}

/** The cycle with as many rotations as its room takes, the last of them in part. */
function withinRoom(
  layout: DayLayout,
  { placing, cycles }: LaidBed,
  balance: BedBalance,
  cycle: LaidBedCycle,
): LaidBedCycle {
  const before = cycles.find((one) => isSameCycle(one, cycle));
  if (!drainsWholeRotation(balance, cycle, before?.drainedMm)) return cycle;
  const { startMs, roomMm } = cycle;
  const doses = wholeDoses(placing, layout.input, startMs);
  const dose =
    doses.findLast(({ block }) => !drainsWholeRotation(balance, { block, startMs, roomMm })) ??
    doses[0];
  return dose === undefined ? cycle : { ...cycle, ...dose };
}
