import { roomAt } from './bed-balance.ts';
import { type Dryness, drynessOf, drynessWith, isLessDry, lastDryMs } from './bed-dryness.ts';
import { waterOf } from './cycle-block.ts';
import { type DayLayout, type LaidBed, type LaidBedCycle, putBack, takeOut } from './day-layout.ts';
import { type FreeStarts, freeStarts, type Stretch, type Tries } from './free-starts.ts';
import { balanceWith, isSameCycle, isTooMuch, laidWith } from './other-cycles.ts';
import { blockAt, type Candidate } from './start-search.ts';
import { supplyConflict, supplyLoad } from './supply-timeline.ts';

/** What is drier than the best by no more than this is kept, for when the best does not go. */
const ALSO_RAN_MIN = 15;
/** Less water than this is rounding of the machine. */
const HAIR_L = 1e-6;

/**
 * Gives a bed that is dry one cycle more, or moves one of its own, while that makes its day less dry
 * beside the others as they stand: any whole number of rotations, at any start. The driest bed
 * first, until nothing is to be gained. A bed that is nowhere dry is let be.
 */
export function fillGaps(layout: DayLayout, tries: Tries): void {
  /** Stretches of the supply that came free. */
  const freed: Stretch[] = [];
  /** For each bed that was looked at in vain: how many stretches were free then, and what water was left. */
  const looked = new Map<number, { stretches: number; leftL: number }>();
  const leastL = layout.beds.map((bed) => leastWaterL(layout, bed));
  const hasMoreWater = (at: number) => {
    const leftL = waterLeftL(layout);
    return leftL > (looked.get(at)?.leftL ?? 0) + HAIR_L && leftL >= (leastL[at] ?? 0);
  };
  const isDone = (at: number) => looked.get(at)?.stretches === freed.length && !hasMoreWater(at);
  for (
    let at = driest(layout, isDone);
    at !== null && tries.most > 0;
    at = driest(layout, isDone)
  ) {
    const bed = layout.beds[at];
    if (bed === undefined) return;
    const seen = hasMoreWater(at) ? undefined : looked.get(at)?.stretches;
    const free = freeStarts(layout, bed, tries, seen === undefined ? null : freed.slice(seen));
    const laid = withOneMore(layout, bed, free) ?? withOneMoved(layout, bed, free);
    if (laid === null) {
      looked.set(at, { stretches: freed.length, leftL: waterLeftL(layout) });
      continue;
    }
    layout.beds[at] = laid;
    looked.delete(at);
    const gone = bed.cycles.filter((one) => !laid.cycles.some((other) => isSameCycle(one, other)));
    freed.push(
      ...gone.map(({ startMs, block }) => ({ startMs, endMs: startMs + block.durationS * 1000 })),
    );
  }
}

/** What is left of the water that may run, L. */
function waterLeftL({ timeline }: Pick<DayLayout, 'timeline'>): number {
  return timeline.water.allowedL - timeline.water.bookedL;
}

/** Water of the bed's smallest cycle, L. */
function leastWaterL({ input, timeline }: DayLayout, { placing }: LaidBed): number {
  return supplyLoad(timeline, blockAt(placing, input, input.startMs, 0).block).waterL;
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
    const without = { balance: balanceWith(bed, rest), cycles: rest };
    const itself = { ...bed, cycles: [cycle] };
    takeOut(layout, itself);
    const found = better(layout, without, { bed, free, like: cycle });
    putBack(layout, itself);
    return found.map((moved) => ({ rest, moved }));
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
 * @param without The bed as it is tried; the supply carries its cycles and no other of the bed.
 * @param asked.like The cycle whose rotations may be given again elsewhere; left out: any.
 */
function better(
  { input, timeline }: DayLayout,
  without: Pick<LaidBed, 'balance' | 'cycles'>,
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
  const leftL = waterLeftL({ timeline }) + HAIR_L;
  const untilMs = lastDryMs(balance, window) ?? 0;
  let bestMin = Number.POSITIVE_INFINITY;
  const found: Tried[] = [];
  for (const { doses } of free.steps) {
    // More water is less dryness: where the largest dose that fits does not help, none does.
    for (const { dose, load, starts } of doses) {
      const { block } = dose;
      const lastsMs = block.durationS * 1000;
      if (load.waterL > leftL) continue;
      if (like !== undefined && !isSameBlock(block, like.block)) continue;
      // Within a step of the balance the earliest start that is free counts.
      const startMs = starts.find(
        (atMs) =>
          taken.every((one) => atMs >= one.endMs || atMs + lastsMs <= one.startMs) &&
          supplyConflict(timeline, load, atMs) === null,
      );
      if (startMs === undefined) continue;
      const tried = { startMs, roomMm: roomAt(balance, startMs), ...dose };
      if (isTooMuch(balance, tried)) continue;
      const gain = drynessWith(balance, window, {
        water: waterOf(block, startMs),
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
