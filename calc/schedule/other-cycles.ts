import { netOfParts, roomsAt } from './balance-parts.ts';
import { type BedBalance, bookWater, copyBalance, roomAt } from './bed-balance.ts';
import { drynessOf, isLessDry } from './bed-dryness.ts';
import { waterOf } from './cycle-block.ts';
import { type DayLayout, type LaidBed, type LaidBedCycle, putBack, takeOut } from './day-layout.ts';
import { bedCost } from './placement-cost.ts';
import { shortStandstills } from './pump-rest.ts';
import { type Candidate, type Search, standsInTheWay } from './start-search.ts';
import { wholeDoses } from './whole-doses.ts';

export function isSameCycle(a: LaidBedCycle, b: LaidBedCycle): boolean {
  return a.startMs === b.startMs && a.block === b.block;
}

/**
 * Where a bed is dry, the last rotation of a dose may drain in part: some water lost is the smaller
 * loss. What would drain whole is too much, of a bed in parts on any of them.
 *
 * @param backMm Room that comes besides: what has drained of the cycle itself.
 */
export function isTooMuch(
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
  bookWater(balance, ...cycles.map(({ block, startMs }) => waterOf(block, startMs)));
  return balance;
}

/** The bed with these cycles and no other, not booked. */
export function withCycles(
  { input }: DayLayout,
  bed: LaidBed,
  kept: readonly LaidBedCycle[],
): LaidBed {
  const balance = copyBalance(bed.placing.balance);
  const cycles = kept.map((cycle) => {
    return { ...cycle, drainedMm: bookWater(balance, waterOf(cycle.block, cycle.startMs)) };
  });
  return { ...bed, cycles, balance, cost: bedCost(balance, cycles, input) };
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
    const { startMs, block } = cycle;
    const drainedMm = bookWater(balance, waterOf(block, startMs));
    cycles.push({ ...cycle, drainedMm });
  }
  return { ...bed, cycles, balance, cost: bedCost(balance, cycles, layout.input) };
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
    if (!isKept && standsInTheWay(bed.placing, search, cycle) !== null) break;
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
  if (!isTooMuch(balance, cycle, before?.drainedMm)) return cycle;
  const { startMs, roomMm } = cycle;
  const doses = wholeDoses(placing, layout.input, startMs);
  const dose =
    doses.findLast(({ block }) => !isTooMuch(balance, { block, startMs, roomMm })) ?? doses[0];
  return dose === undefined ? cycle : { ...cycle, ...dose };
}
