import { netOfParts } from './balance-parts.ts';
import { bookWater, copyBalance, roomAt } from './bed-balance.ts';
import { type Dryness, drynessOf, drynessWith, isLessDry, lastDryMs } from './bed-dryness.ts';
import { waterOf } from './cycle-block.ts';
import { type DayLayout, type LaidBed, type LaidBedCycle, putBack, takeOut } from './day-layout.ts';
import { type FreeStarts, freeStarts, type Stretch, type Tries } from './free-starts.ts';
import { bedCost } from './placement-cost.ts';
import { shortStandstills } from './pump-rest.ts';
import { type Candidate, type Search, standsInTheWay } from './start-search.ts';
import { supplyLoad } from './supply-timeline.ts';
import { wholeDoses } from './whole-doses.ts';

/** What is drier than the best by no more than this is kept, for when the best does not go. */
const ALSO_RAN_MIN = 15;

/**
 * Gives a bed that is dry one cycle more, or moves one of its own, while that makes its day less dry
 * beside the others as they stand: any whole number of rotations, at any start. The driest bed
 * first, until nothing is to be gained. A bed that is nowhere dry is let be.
 */
export function fillGaps(layout: DayLayout, tries: Tries): void {
  /** Stretches of the supply that came free, and how many of them each bed has looked at in vain. */
  const freed: Stretch[] = [];
  const looked = new Map<number, number>();
  const isDone = (at: number) => looked.get(at) === freed.length;
  for (
    let at = driest(layout, isDone);
    at !== null && tries.most > 0;
    at = driest(layout, isDone)
  ) {
    const bed = layout.beds[at];
    if (bed === undefined) return;
    const seen = looked.get(at);
    const free = freeStarts(layout, bed, tries, seen === undefined ? null : freed.slice(seen));
    const laid = withOneMore(layout, bed, free) ?? withOneMoved(layout, bed, free);
    if (laid === null) {
      looked.set(at, freed.length);
      continue;
    }
    layout.beds[at] = laid;
    looked.delete(at);
    const gone = bed.cycles.filter((one) => !laid.cycles.some((other) => isSameCycle(one, other)));
    // Less water may come free as well, which has no hour.
    if (gone.length > 0 && layout.timeline.water.allowedL < Number.POSITIVE_INFINITY)
      looked.clear();
    freed.push(
      ...gone.map(({ startMs, block }) => ({ startMs, endMs: startMs + block.durationS * 1000 })),
    );
  }
}

function isSameCycle(a: LaidBedCycle, b: LaidBedCycle): boolean {
  return a.startMs === b.startMs && a.block === b.block;
}

/** The bed that is dry for longest, of equals the first by id; null when none is. */
function driest(layout: DayLayout, isDone: (at: number) => boolean): number | null {
  let found: { at: number; dryMin: number; id: string } | null = null;
  for (const [at, { balance, placing }] of layout.beds.entries()) {
    if (isDone(at)) continue;
    const { dryMin } = drynessOf(balance, layout.input.window);
    const { id } = placing.bed;
    if (dryMin === 0) continue;
    const isDrier =
      found === null || dryMin > found.dryMin || (dryMin === found.dryMin && id < found.id);
    if (isDrier) found = { at, dryMin, id };
  }
  return found?.at ?? null;
}

/** The bed with the cycle more that helps it most, booked; null when none does. */
export function withOneMore(layout: DayLayout, bed: LaidBed, free: FreeStarts): LaidBed | null {
  for (const cycle of better(layout, bed, { bed, free })) {
    const laid = laidWith(layout, bed, [...bed.cycles, cycle]);
    if (laid !== null) return laid;
  }
  return null;
}

/** The bed with one of its cycles at the start that helps it most, booked; null when none does. */
function withOneMoved(layout: DayLayout, bed: LaidBed, free: FreeStarts): LaidBed | null {
  const found = bed.cycles.flatMap((cycle) => {
    const rest = bed.cycles.filter((one) => one !== cycle);
    const without = withCycles(layout, bed, rest);
    return better(layout, without, { bed, free, like: cycle }).map((moved) => ({ rest, moved }));
  });
  for (const { rest, moved } of found.sort((a, b) => byGain(a.moved, b.moved))) {
    const laid = laidWith(layout, bed, [...rest, moved]);
    if (laid !== null) return laid;
  }
  return null;
}

type Tried = LaidBedCycle & { gain: Dryness };

/**
 * Cycles that would make the bed less dry than it is, the best first: of equal dryness that with the
 * least water, of these the latest.
 *
 * @param without The bed as it is tried.
 * @param asked.like The cycle whose rotations may be given again elsewhere; left out: any.
 */
function better(
  { input, timeline }: DayLayout,
  without: LaidBed,
  asked: { bed: LaidBed; free: FreeStarts; like?: LaidBedCycle },
): Tried[] {
  const { window, limits } = input;
  const { balance, cycles } = without;
  const { free, like } = asked;
  const before = drynessOf(asked.bed.balance, window);
  const restMs = limits.restMin * 60_000;
  const taken = cycles.map(({ startMs, block }) => ({
    startMs: startMs - restMs,
    endMs: startMs + block.durationS * 1000 + restMs,
  }));
  const leftL = timeline.water.allowedL - timeline.water.bookedL + 1e-6;
  const backL = like === undefined ? 0 : supplyLoad(timeline, like.block).waterL;
  const untilMs = lastDryMs(balance, window) ?? 0;
  let bestMin = Number.POSITIVE_INFINITY;
  const found: Tried[] = [];
  for (const { doses } of free.steps) {
    // More water is less dryness: where the largest dose that fits does not help, none does.
    for (const { dose, load, starts } of doses) {
      const { block } = dose;
      const lastsMs = block.durationS * 1000;
      if (load.waterL > leftL + backL) continue;
      if (like !== undefined && !isSameBlock(block, like.block)) continue;
      // Within a step of the balance the earliest start that is free counts.
      const startMs = starts.find((atMs) =>
        taken.every((one) => atMs >= one.endMs || atMs + lastsMs <= one.startMs),
      );
      if (startMs === undefined) continue;
      const tried = { startMs, roomMm: roomAt(balance, startMs), ...dose };
      if (isTooMuch(tried)) continue;
      const gain = drynessWith(balance, window, {
        startMs,
        endMs: startMs + lastsMs,
        partsMm: netOfParts(balance, block.runs),
        mostMin: Math.min(before.dryMin, bestMin + ALSO_RAN_MIN),
        untilMs,
        tries: free.tries,
      });
      if (gain === null || !isLessDry(gain, before)) break;
      bestMin = Math.min(bestMin, gain.dryMin);
      found.push({ ...tried, drainedMm: 0, movedFor: null, gain });
    }
  }
  return found.sort(byGain);
}

/** The driest last; of equal dryness the one with more water last, of these the earlier one. */
function byGain(a: Tried, b: Tried): number {
  return (
    a.gain.dryMin - b.gain.dryMin ||
    a.gain.shortfallMmMin - b.gain.shortfallMmMin ||
    a.block.netMm - b.block.netMm ||
    b.startMs - a.startMs
  );
}

function isSameBlock(a: Candidate['block'], b: Candidate['block']): boolean {
  return a.runs.every((run, index) => run.rotations === b.runs[index]?.rotations);
}

/**
 * Where a bed is dry, the last rotation of a dose may drain in part: some water lost is the smaller
 * loss. What would drain whole is too much.
 */
function isTooMuch({ block, roomMm }: Pick<Candidate, 'block' | 'roomMm'>): boolean {
  return block.oneFewerMm > roomMm + 1e-9;
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
 * The bed with these cycles, booked in place of those that it has; a later dose of several rotations
 * that has no room any more becomes less. Null, and all as it was, when that does not fit, the pump
 * would rest too short or the bed is no less dry.
 */
function laidWith(
  layout: DayLayout,
  bed: LaidBed,
  wanted: readonly LaidBedCycle[],
): LaidBed | null {
  const { input, timeline } = layout;
  const { window } = input;
  const balance = copyBalance(bed.placing.balance);
  const cycles: LaidBedCycle[] = [];
  for (const one of wanted.toSorted((a, b) => a.startMs - b.startMs)) {
    const cycle = withinRoom(layout, bed, { ...one, roomMm: roomAt(balance, one.startMs) });
    const { startMs, block } = cycle;
    const drainedMm = bookWater(balance, waterOf(block, startMs));
    cycles.push({ ...cycle, drainedMm });
  }
  if (!isLessDry(drynessOf(balance, window), drynessOf(bed.balance, window))) return null;
  const laid = { ...bed, cycles, balance, cost: bedCost(balance, cycles, input) };
  const standstills = shortStandstills(timeline);
  takeOut(layout, bed);
  const search: Search = { ...input, timeline };
  const booked: LaidBed = { ...laid, cycles: [] };
  for (const cycle of cycles) {
    const isKept = bed.cycles.some((one) => isSameCycle(one, cycle));
    if (!isKept && standsInTheWay(bed.placing, search, cycle) !== null) break;
    putBack(layout, { ...laid, cycles: [cycle] });
    booked.cycles.push(cycle);
  }
  if (booked.cycles.length === cycles.length && shortStandstills(timeline) <= standstills) {
    return laid;
  }
  takeOut(layout, booked);
  putBack(layout, bed);
  return null;
}

/** The cycle with as many rotations as its room takes, the last of them in part. */
function withinRoom(
  layout: DayLayout,
  { placing, cycles }: LaidBed,
  cycle: LaidBedCycle,
): LaidBedCycle {
  const before = cycles.find((one) => isSameCycle(one, cycle));
  if (!isTooMuch({ ...cycle, roomMm: cycle.roomMm + (before?.drainedMm ?? 0) })) return cycle;
  const { roomMm } = cycle;
  const doses = wholeDoses(placing, layout.input, cycle.startMs);
  const dose = doses.findLast(({ block }) => !isTooMuch({ block, roomMm })) ?? doses[0];
  return dose === undefined ? cycle : { ...cycle, ...dose };
}
