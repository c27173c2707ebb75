import { type BedBalance, bookWater, copyBalance } from './bed-balance.ts';
import { bedPath } from './bed-path.ts';
import { waterOf } from './cycle-block.ts';
import type { MovedFor } from './moved-for.ts';
import { type BedCost, bedCost } from './placement-cost.ts';
import {
  type PassResult,
  type PlacedCycle,
  type PlacementInput,
  restedFromMs,
  timelineOfKept,
} from './placement-pass.ts';
import { shortStandstills } from './pump-rest.ts';
import type { Candidate, PlacementBed, Search } from './start-search.ts';
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
  const path = bedPath(bed.placing, { ...search, fromMs: bed.freeFromMs });
  const balance = copyBalance(bed.placing.balance);
  const cycles = path.map((candidate) => {
    const { startMs, block } = candidate;
    const drainedMm = bookWater(balance, waterOf(block, startMs));
    return { ...candidate, drainedMm, movedFor: null };
  });
  const laid = { ...bed, cycles, balance, cost: bedCost(balance, cycles, input) };
  putBack(layout, laid);
  return laid;
}
