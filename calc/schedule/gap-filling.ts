import { fullState, stateBefore } from './bed-balance.ts';
import { type Dryness, drynessOf, drynessWith, isLessDry, lastDryMs } from './bed-dryness.ts';
import { roomAt } from './bed-moisture.ts';
import { blockOfTurns, cycleBlock, isWithinCap, stationWaterOf } from './cycle-block.ts';
import {
  balanceWith,
  type DayLayout,
  drainsWholeRotation,
  isSameCycle,
  type LaidBed,
  type LaidBedCycle,
  laidWith,
  putBack,
  takeOut,
} from './day-layout.ts';
import { STEP_MS } from './demand.ts';
import {
  blockAt,
  type Candidate,
  ceilToSlot,
  findObstacle,
  type Search,
  type WholeDose,
  wholeDoses,
} from './start-search.ts';
import { type SupplyLoad, supplyConflict, supplyLoad } from './supply-timeline.ts';

/** What is drier than the best by no more than this is kept, for when the best does not go. */
const RUNNER_UP_MIN = 15;
/** Less water than this is rounding of the machine. */
const ROUNDING_L = 1e-6;

/**
 * Gives a bed that is dry one cycle more, or moves one of its own, while that makes its day less dry
 * beside the others as they stand: any whole number of rotations, at any start. The driest bed
 * first, until nothing is to be gained. A bed that is nowhere dry is let be.
 */
export function fillGaps(layout: DayLayout, tries: SearchBudget): void {
  /** Stretches of the supply that came free. */
  const freed: TimeSpan[] = [];
  /** For each bed that was looked at in vain: how many stretches were free then, and what water was left. */
  const looked = new Map<number, { stretches: number; leftL: number }>();
  const leastL = layout.beds.map((bed) => leastWaterL(layout, bed));
  const hasMoreWater = (at: number) => {
    const leftL = waterLeftL(layout);
    return leftL > (looked.get(at)?.leftL ?? 0) + ROUNDING_L && leftL >= (leastL[at] ?? 0);
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
  for (const cycle of improvingCycles(layout, bed, { bed, free })) {
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
    const found = improvingCycles(layout, without, { bed, free, like: cycle });
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
function improvingCycles(
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
  const leftL = waterLeftL({ timeline }) + ROUNDING_L;
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
      if (drainsWholeRotation(balance, tried)) continue;
      const gain = drynessWith(balance, window, {
        water: stationWaterOf(block, startMs),
        mostMin: Math.min(before.dryMin, bestMin + RUNNER_UP_MIN),
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

/** The flow's rise is looked at over so long. */
const MINUTE_S = 60;

/** What is left of the work that a plan may take. */
export interface SearchBudget {
  most: number;
}

export interface TimeSpan {
  startMs: number;
  endMs: number;
}

/** Where a bed's doses find the supply free, were none of its own cycles there. */
interface FreeStarts {
  tries: SearchBudget;
  steps: {
    stepMs: number;
    /** The largest dose first, each with its free starts within the step. */
    doses: { dose: WholeDose; load: SupplyLoad; starts: number[] }[];
  }[];
}

/**
 * The starts up to a bed's last dry moment at which a dose finds hours, keep-offs and supply free; its
 * own cycles are left out of it, so that what is taken has to be looked at once more.
 *
 * @param within Only starts at which the cycle would touch one of these; null: any.
 */
export function freeStarts(
  layout: DayLayout,
  bed: LaidBed,
  tries: SearchBudget,
  within: readonly TimeSpan[] | null,
): FreeStarts {
  const { input, timeline } = layout;
  const { window, slotMs, limits } = input;
  const nearMs = 1000 * Math.max(limits.startGapS, limits.pumpRestS, MINUTE_S);
  const { placing, balance } = bed;
  const search: Search = { ...input, timeline };
  const untilMs = Math.min(lastDryMs(balance, window) ?? 0, window.lastEndMs);
  const openMs = Math.max(bed.freeFromMs, window.firstStartMs);
  const known = new Map<number, { dose: WholeDose; load: SupplyLoad }[]>();
  const loads = new Map<string, SupplyLoad>();
  const steps: FreeStarts['steps'] = [];
  const reachMs = nearMs + (within === null ? 0 : longestMs(input, bed, openMs));
  takeOut(layout, bed);
  for (let stepMs = balance.grid.startMs; stepMs < untilMs; stepMs += STEP_MS) {
    const firstMs = ceilToSlot(Math.max(stepMs, openMs), slotMs);
    if (firstMs >= stepMs + STEP_MS) continue;
    const isReached = within?.some(
      (one) => stepMs < one.endMs + nearMs && stepMs + STEP_MS + reachMs > one.startMs,
    );
    if (isReached === false) continue;
    const air = input.driftAt(firstMs);
    let doses = balance.parts.length > 1 ? undefined : known.get(air);
    if (doses === undefined) {
      doses = dosesAt(input, bed, firstMs).map((dose) => {
        const turns = turnsOf(dose);
        const load = loads.get(turns) ?? supplyLoad(timeline, dose.block);
        loads.set(turns, load);
        return { dose, load };
      });
      known.set(air, doses);
    }
    const free: FreeStarts['steps'][number]['doses'] = [];
    for (const { dose, load } of doses) {
      const starts: number[] = [];
      const lastMs = Math.min(stepMs + STEP_MS, untilMs, window.lastEndMs - load.durationMs + 1);
      for (let startMs = firstMs; startMs < lastMs; startMs += slotMs) {
        const isNear = within?.some(
          (one) => startMs < one.endMs + nearMs && startMs + load.durationMs > one.startMs - nearMs,
        );
        if (isNear === false) continue;
        tries.most -= 1;
        const candidate: Candidate = { startMs, roomMm: 0, ...dose };
        if (findObstacle(placing, search, candidate, load) === null) starts.push(startMs);
      }
      if (starts.length > 0) free.push({ dose, load, starts });
    }
    if (free.length > 0) steps.push({ stepMs, doses: free });
  }
  putBack(layout, bed);
  return { tries, steps };
}

/**
 * The doses of a bed at an instant, the largest first. Where its parts differ they hang on how each of
 * them stands; beside those that bring all up to one level, it may have one depth for all, and what
 * its own cycles give, which may be moved.
 */
function dosesAt(input: DayLayout['input'], bed: LaidBed, atMs: number): WholeDose[] {
  const { placing, balance, cycles } = bed;
  const byState = wholeDoses(placing, input, atMs, stateBefore(balance, atMs));
  if (balance.parts.length === 1) return byState.reverse();
  const driftLossFraction = input.driftAt(atMs);
  const ground = { stations: placing.stations, driftLossFraction, limits: input.limits };
  const own = cycles.map(({ block }) => ({
    block: blockOfTurns(
      ground,
      block.runs.map((run) => run.rotations),
    ),
    driftLossFraction,
  }));
  const all = [
    ...byState,
    ...wholeDoses(placing, input, atMs, fullState(balance)),
    // In other air they may bring more than they did.
    ...own.filter(({ block }) => isWithinCap(block, placing.doseCapMm)),
  ];
  const once = new Map(all.map((dose) => [turnsOf(dose), dose]));
  return [...once.values()].sort((a, b) => b.block.netMm - a.block.netMm);
}

function turnsOf({ block }: WholeDose): string {
  return block.runs.map((run) => run.rotations).join(' ');
}

/** No cycle of a bed lasts longer, ms: each of its stations one turn over the cap, at most. */
function longestMs(
  { limits, driftAt }: DayLayout['input'],
  { placing, cycles }: LaidBed,
  atMs: number,
): number {
  const { stations, doseCapMm: netMm } = placing;
  const { durationS } = cycleBlock({ stations, netMm, driftLossFraction: driftAt(atMs), limits });
  const ownS = Math.max(0, ...cycles.map(({ block }) => block.durationS));
  return LENGTHENED * 1000 * Math.max(durationS, ownS);
}

/** Drier air and one turn more make a cycle longer, but not by so much. */
const LENGTHENED = 3;
