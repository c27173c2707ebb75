import TinyQueue from 'tinyqueue';
import { type BedBalance, bookWater, copyBalance, firstAtPart } from './bed-balance.ts';
import type { CycleBlock } from './cycle-block.ts';
import { type DueWindow, nextDue, type WaterWindow } from './due-window.ts';
import type { KeptCycle } from './kept-cycle.ts';
import { reasonsFor } from './placement-reasons.ts';
import type { Reason } from './reasons.ts';
import type { Limits } from './site.ts';
import {
  blockAt,
  type Candidate,
  findStart,
  type Obstacle,
  type PlacementBed,
  type Search,
  standsInTheWay,
} from './start-search.ts';
import { bookRuns, bookSupply, supplyLoad, supplyTimeline } from './supply-timeline.ts';
import type { RanBefore } from './water-left.ts';

/** A cycle with its start. */
export interface PlacedCycle {
  bedId: string;
  startMs: number;
  block: CycleBlock;
  driftLossFraction: number;
  /** By how much more drains for this cycle, mm. */
  drainedMm: number;
  reasons: Reason[];
}

/** Why a bed could not get its water in time. */
export interface Blocked {
  bedId: string;
  atMs: number;
  by: Obstacle;
}

/** What a placement is made from. */
export interface PlacementInput {
  beds: readonly PlacementBed[];
  limits: Limits;
  window: WaterWindow;
  startMs: number;
  /** Cycles that stand already; their water must be in the balances. */
  kept: readonly KeptCycle[];
  /** What ran before; nothing when left out. */
  before?: RanBefore;
  /** Drift and evaporation in flight at an instant, part of the gross depth. */
  driftAt(instantMs: number): number;
  /** Whether the wind then passes the limit; never when left out. */
  isWindyAt?(instantMs: number): boolean;
  /** Grid of the starts, ms. */
  slotMs: number;
}

export interface PassResult {
  cycles: PlacedCycle[];
  blocked: Blocked[];
  balances: BedBalance[];
}

interface Owed {
  index: number;
  due: DueWindow;
}

/**
 * Serves the beds in turn, the one that reaches its reserve first before the others, each cycle as
 * late as is safe. Works on copies of the balances.
 */
export function placementPass(input: PlacementInput): PassResult {
  const { limits, window, startMs, kept, driftAt, slotMs } = input;
  const beds = input.beds.map((one) => ({ ...one, balance: copyBalance(one.balance) }));
  const timeline = supplyTimeline(limits, {
    startMs,
    endMs: window.lastEndMs,
    slotMs,
    before: input.before,
  });
  const search: Search = { limits, window, timeline, driftAt };
  const stationOf = new Map(beds.flatMap((bed) => bed.stations.map((one) => [one.id, one])));
  for (const cycle of kept) bookRuns(timeline, cycle.runs, stationOf);
  const cycles: PlacedCycle[] = [];
  const blocked: Blocked[] = [];

  const owedFrom = (index: number, fromMs: number, restMin: number): Owed | null => {
    const placing = beds[index];
    if (placing === undefined) return null;
    const due = dueOf(placing, search, { fromMs, restMin });
    return due === null ? null : { index, due };
  };

  const first = beds.flatMap(({ bed }, index) => {
    const freeMs = restedFromMs(input, bed.id);
    return owedFrom(index, Math.max(startMs, freeMs), freeMs > startMs ? limits.restMin : 0) ?? [];
  });
  const idOf = (owed: Owed) => beds[owed.index]?.bed.id ?? '';
  const queue = new TinyQueue(
    first,
    (a, b) => a.due.latestMs - b.due.latestMs || (idOf(a) < idOf(b) ? -1 : 1),
  );
  for (let owed = queue.pop(); owed !== undefined; owed = queue.pop()) {
    const placing = beds[owed.index];
    if (placing === undefined) continue;
    const { due } = owed;
    const bedId = placing.bed.id;
    const found = findStart(placing, due, search);
    if (found.obstacle !== null && (found.candidate?.startMs ?? Infinity) > due.latestMs) {
      blocked.push({ bedId, atMs: due.latestMs, by: found.obstacle });
    }
    if (found.candidate === null) {
      blocked.push({ bedId, atMs: due.latestMs, by: { kind: 'day_over' } });
      continue;
    }
    const { candidate, drainedMm } = bookEnough(placing, found.candidate, search);
    const { startMs: at, block, driftLossFraction } = candidate;
    bookSupply(timeline, supplyLoad(timeline, block), at);
    cycles.push({
      bedId,
      startMs: at,
      block,
      driftLossFraction,
      drainedMm,
      reasons: reasonsFor({ placing, due, found: { ...found, candidate }, drainedMm, slotMs }),
    });
    const endMs = at + block.durationS * 1000;
    const next = owedFrom(owed.index, endMs + limits.restMin * 60_000, limits.restMin);
    if (next !== null) queue.push(next);
  }
  cycles.sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
  return { cycles, blocked, balances: beds.map((one) => one.balance) };
}

/** From when on a bed has rested from the water that it has had. */
export function restedFromMs(
  { kept, before, limits, startMs }: PlacementInput,
  bedId: string,
): number {
  const ends = kept.filter((cycle) => cycle.bedId === bedId).map((cycle) => cycle.endMs);
  const endMs = Math.max(before?.bedEndsMs?.get(bedId) ?? Number.NEGATIVE_INFINITY, ...ends);
  return Math.max(startMs, endMs + limits.restMin * 60_000);
}

/** When the bed is owed its next cycle, judged by its smallest; null when it lasts. */
export function dueOf(
  placing: PlacementBed,
  search: Search,
  from: { fromMs: number; restMin: number },
): DueWindow | null {
  const smallest = blockAt(placing, search, from.fromMs, 0).block;
  return nextDue({
    balance: placing.balance,
    reserveFraction: search.limits.reserveFraction,
    smallestNetMm: smallest.netMm,
    fromMs: from.fromMs,
    restMin: from.restMin,
    window: search.window,
    durationMs: smallest.durationS * 1000,
    leadMs: smallest.leadS * 1000,
  });
}

/**
 * Books the cycle, with fewer rotations where fewer carry the bed to the next day's first start as
 * well: a bed goes into the night no wetter than it has to.
 */
function bookEnough(
  placing: PlacementBed,
  full: Candidate,
  search: Search,
): { candidate: Candidate; drainedMm: number } {
  const { balance } = placing;
  const book = ({ startMs, block }: Candidate, sign: 1 | -1) =>
    bookWater(balance, {
      startMs,
      endMs: startMs + block.durationS * 1000,
      netMm: sign * block.netMm,
    });
  const lasts = () => {
    const atMs = firstAtPart(balance, search.limits.reserveFraction, full.startMs);
    return atMs === null || atMs >= search.window.nextFirstStartMs;
  };
  let candidate = full;
  let drainedMm = book(full, 1);
  while (candidate.block.rotations > 1 && lasts()) {
    const lessMm = candidate.block.netMm * (1 - 1 / candidate.block.rotations);
    const less = { ...candidate, ...blockAt(placing, search, full.startMs, lessMm) };
    if (less.block.rotations >= candidate.block.rotations) break;
    // A shorter cycle can stop the pump too soon before another start.
    if (standsInTheWay(placing, search, less) !== null) break;
    book(candidate, -1);
    const lessDrainedMm = book(less, 1);
    if (!lasts()) {
      book(less, -1);
      book(candidate, 1);
      break;
    }
    candidate = less;
    drainedMm = lessDrainedMm;
  }
  return { candidate, drainedMm };
}
