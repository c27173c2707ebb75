import TinyQueue from 'tinyqueue';
import { type BedBalance, bookWater, roomAt } from './bed-balance.ts';
import { type CycleBlock, cycleBlock } from './cycle-block.ts';
import { type DueWindow, nextDue, type WaterWindow } from './due-window.ts';
import type { KeptCycle } from './laid-cycle.ts';
import type { Reason } from './reasons.ts';
import type { Bed, KeepOff, Limits, Station } from './site.ts';
import {
  bookRuns,
  bookSupply,
  SLOT_MS,
  type SupplyLimit,
  type SupplyTimeline,
  supplyConflict,
  supplyLoad,
  supplyTimeline,
} from './supply-timeline.ts';

/** A bed ready to be placed: what it holds, what waters it, what keeps water off it. */
export interface PlacementBed {
  bed: Pick<Bed, 'id'>;
  stations: readonly Station[];
  balance: BedBalance;
  /** Most net water that one cycle may bring. */
  doseCapMm: number;
  keepOffs: readonly KeepOff[];
}

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
  by: SupplyLimit | { kind: 'keep_off'; why: string; endMs: number } | { kind: 'day_over' };
}

export interface Placement {
  cycles: PlacedCycle[];
  blocked: Blocked[];
}

type Obstacle = Blocked['by'];

interface Owed {
  index: number;
  due: DueWindow;
}

interface Candidate {
  startMs: number;
  /** What the store can take at the start. */
  roomMm: number;
  block: CycleBlock;
  driftLossFraction: number;
}

/**
 * Lays the beds' cycles against each other under the supply's limits.
 *
 * The bed whose seedbed reaches its reserve first is served first. Its cycle goes as late as is
 * safe, because a later dose meets more room and so fewer cycles are needed; where the supply or a
 * keep-off is in the way it slides earlier, while a rotation still fits into the store, and only
 * then later. Every cycle booked changes when its bed is next owed, so the queue is worked through
 * to the end of the day. The beds' balances are brought up to date in place.
 *
 * Ties go by bed id, so that the order of beds in the config decides nothing.
 */
export function placeCycles(input: {
  beds: readonly PlacementBed[];
  limits: Limits;
  window: WaterWindow;
  startMs: number;
  /** Cycles that stand already; their water must be in the balances. */
  kept: readonly KeptCycle[];
  /** Drift and evaporation in flight at an instant, part of the gross depth. */
  driftAt(instantMs: number): number;
}): Placement {
  const { beds, limits, window, startMs, kept, driftAt } = input;
  const timeline = supplyTimeline(limits, startMs, window.lastEndMs);
  const stationOf = new Map(beds.flatMap((bed) => bed.stations.map((one) => [one.id, one])));
  const freeFromMs = new Map<string, number>();
  for (const cycle of kept) {
    bookRuns(timeline, cycle.runs, stationOf);
    const freeMs = cycle.endMs + limits.restMin * 60_000;
    freeFromMs.set(cycle.bedId, Math.max(freeMs, freeFromMs.get(cycle.bedId) ?? freeMs));
  }
  const cycles: PlacedCycle[] = [];
  const blocked: Blocked[] = [];

  const owedFrom = (index: number, fromMs: number, restMin: number): Owed | null => {
    const placing = beds[index];
    if (placing === undefined) return null;
    const smallest = blockAt(placing, limits, driftAt, fromMs, 0).block;
    const due = nextDue({
      balance: placing.balance,
      reserveFraction: limits.reserveFraction,
      smallestNetMm: smallest.netMm,
      fromMs,
      restMin,
      window,
      durationMs: smallest.durationS * 1000,
      leadMs: smallest.leadS * 1000,
    });
    return due === null ? null : { index, due };
  };

  const first = beds.flatMap(({ bed }, index) => {
    const freeMs = freeFromMs.get(bed.id) ?? startMs;
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
    const bedId = placing.bed.id;
    const found = findStart(placing, owed.due, { limits, window, timeline, driftAt });
    if (found.obstacle !== null && (found.candidate?.startMs ?? Infinity) > owed.due.latestMs) {
      blocked.push({ bedId, atMs: owed.due.latestMs, by: found.obstacle });
    }
    if (found.candidate === null) {
      blocked.push({ bedId, atMs: owed.due.latestMs, by: { kind: 'day_over' } });
      continue;
    }
    const { startMs: at, block, driftLossFraction } = found.candidate;
    const endMs = at + block.durationS * 1000;
    bookSupply(timeline, supplyLoad(timeline, block), at);
    const drainedMm = bookWater(placing.balance, { startMs: at, endMs, netMm: block.netMm });
    cycles.push({
      bedId,
      startMs: at,
      block,
      driftLossFraction,
      drainedMm,
      reasons: reasonsFor({ placing, due: owed.due, found, drainedMm }),
    });
    const next = owedFrom(owed.index, endMs + limits.restMin * 60_000, limits.restMin);
    if (next !== null) queue.push(next);
  }
  cycles.sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
  return { cycles, blocked };
}

interface Search {
  limits: Limits;
  window: WaterWindow;
  timeline: SupplyTimeline;
  driftAt(instantMs: number): number;
}

interface Found {
  candidate: Candidate | null;
  /** What stood in the way at the latest safe start, or null when nothing did. */
  obstacle: Obstacle | null;
}

/** Latest safe start first, then earlier while a rotation fits, then later as soon as it goes. */
function findStart(placing: PlacementBed, due: DueWindow, search: Search): Found {
  const latestMs = latestStart(due);
  const earliestMs = Math.min(latestMs, ceilToSlot(due.earliestMs));
  let obstacle: Obstacle | null = null;
  for (let startMs = latestMs; startMs >= earliestMs; ) {
    const candidate = candidateAt(placing, search, startMs);
    if (startMs + candidate.block.durationS * 1000 > search.window.lastEndMs) {
      startMs -= SLOT_MS;
      continue;
    }
    const inTheWay = obstacleAt(placing, search, candidate);
    if (inTheWay === null) return { candidate, obstacle };
    obstacle ??= inTheWay.by;
    startMs = Math.min(startMs - SLOT_MS, floorToSlot(inTheWay.tryBeforeMs));
  }
  const closeMs = search.window.lastEndMs;
  for (let startMs = latestMs + SLOT_MS; startMs < closeMs; ) {
    const candidate = candidateAt(placing, search, startMs);
    if (startMs + candidate.block.durationS * 1000 > closeMs) break;
    const inTheWay = obstacleAt(placing, search, candidate);
    if (inTheWay === null) return { candidate, obstacle };
    obstacle ??= inTheWay.by;
    startMs = Math.max(startMs + SLOT_MS, ceilToSlot(inTheWay.tryAfterMs));
  }
  return { candidate: null, obstacle };
}

/** What keeps a candidate from running, and the nearest starts on both sides worth trying. */
function obstacleAt(
  placing: PlacementBed,
  search: Search,
  candidate: Candidate,
): { by: Obstacle; tryBeforeMs: number; tryAfterMs: number } | null {
  const { startMs, block } = candidate;
  const durationMs = block.durationS * 1000;
  const keepOff = placing.keepOffs.find(
    (off) => startMs < off.endMs && startMs + durationMs > off.startMs,
  );
  if (keepOff !== undefined) {
    return {
      by: { kind: 'keep_off', why: keepOff.why, endMs: keepOff.endMs },
      tryBeforeMs: keepOff.startMs - durationMs,
      tryAfterMs: keepOff.endMs,
    };
  }
  const limit = supplyConflict(search.timeline, supplyLoad(search.timeline, block), startMs);
  if (limit === null) return null;
  return { by: limit, tryBeforeMs: startMs - SLOT_MS, tryAfterMs: startMs + SLOT_MS };
}

/** The cycle that fits the room that the store has when the cycle ends. */
function candidateAt(placing: PlacementBed, search: Search, startMs: number): Candidate {
  const { balance, doseCapMm } = placing;
  const roomMm = roomAt(balance, startMs);
  const netMm = Math.min(roomMm, doseCapMm);
  return { startMs, roomMm, ...blockAt(placing, search.limits, search.driftAt, startMs, netMm) };
}

function blockAt(
  placing: PlacementBed,
  limits: Limits,
  driftAt: (instantMs: number) => number,
  startMs: number,
  netMm: number,
): { block: CycleBlock; driftLossFraction: number } {
  const driftLossFraction = driftAt(startMs);
  const block = cycleBlock({ stations: placing.stations, netMm, driftLossFraction, limits });
  return { block, driftLossFraction };
}

const WORTH_SAYING_MM = 0.05;

function reasonsFor(input: {
  placing: PlacementBed;
  due: DueWindow;
  found: Found;
  drainedMm: number;
}): Reason[] {
  const { placing, due, found, drainedMm } = input;
  const reasons: Reason[] = [due.why];
  const candidate = found.candidate;
  if (candidate === null) return reasons;
  const latestMs = latestStart(due);
  const movedMin = Math.round((candidate.startMs - latestMs) / 60_000);
  const by = found.obstacle;
  if (by !== null && by.kind !== 'day_over' && candidate.startMs !== latestMs) {
    const minutes = Math.abs(movedMin);
    const earlier = candidate.startMs < latestMs;
    if (by.kind === 'keep_off') {
      const off = placing.keepOffs.find((one) => one.endMs === by.endMs && one.why === by.why);
      reasons.push(
        earlier
          ? { code: 'before_keep_off', why: by.why, startMs: off?.startMs ?? latestMs }
          : { code: 'after_keep_off', why: by.why, endMs: by.endMs },
      );
    } else if (minutes > 0) {
      reasons.push({
        code: earlier ? 'earlier_for_supply' : 'later_for_supply',
        limit: by,
        minutes,
      });
    }
  }
  if (candidate.block.netMm > candidate.roomMm + WORTH_SAYING_MM) {
    reasons.push({ code: 'rotation_exceeds_store', wasteMm: drainedMm });
  } else if (candidate.roomMm > placing.doseCapMm) {
    reasons.push({ code: 'held_at_cap', capMm: placing.doseCapMm });
  }
  return reasons;
}

/** The last start on the grid that is safe, but never before the bed is open for water. */
function latestStart(due: DueWindow): number {
  return Math.max(floorToSlot(due.latestMs), ceilToSlot(due.openMs));
}

function floorToSlot(instantMs: number): number {
  return Math.floor(instantMs / SLOT_MS) * SLOT_MS;
}

function ceilToSlot(instantMs: number): number {
  return Math.ceil(instantMs / SLOT_MS) * SLOT_MS;
}
