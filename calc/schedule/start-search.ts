import { type BedBalance, stateBefore } from './bed-balance.ts';
import type { BedState } from './bed-followed.ts';
import { drierThanWettest, roomAt } from './bed-moisture.ts';
import { type CycleBlock, cycleBlock } from './cycle-block.ts';
import type { DueWindow, WaterWindow } from './due-window.ts';
import {
  type Bed,
  causeOfKeepOff,
  type KeepOff,
  type KeepOffCause,
  type Limits,
  type Station,
  type SupplyLimit,
} from './site.ts';
import {
  type SupplyLoad,
  type SupplyTimeline,
  supplyConflict,
  supplyLoad,
} from './supply-timeline.ts';

/** A bed ready to be placed: what it holds, what waters it, what keeps water off it. */
export interface PlacementBed {
  bed: Pick<Bed, 'id'>;
  stations: readonly Station[];
  balance: BedBalance;
  /** Most net water that one cycle may bring. */
  doseCapMm: number;
  keepOffs: readonly KeepOff[];
  /** Cycles that the bed gets at least on a day that dries it; left out: as few as it needs. */
  leastCycles?: number;
}

/** What can keep a cycle from its place. */
export type Obstacle =
  | SupplyLimit
  | { kind: 'keep_off'; off: KeepOffCause; endMs: number }
  | { kind: 'day_over' };

/** A cycle tried at a start. */
export interface Candidate {
  startMs: number;
  /** What the store can take at the start. */
  roomMm: number;
  block: CycleBlock;
  driftLossFraction: number;
}

/** What a start is looked for in. */
export interface Search {
  limits: Limits;
  window: WaterWindow;
  timeline: SupplyTimeline;
  /** Drift and evaporation in flight at an instant, part of the gross depth. */
  driftAt(instantMs: number): number;
}

/** The latest safe start first, then earlier while a rotation fits, then later as soon as it goes. */
export function findStart(placing: PlacementBed, due: DueWindow, search: Search): Candidate | null {
  const { slotMs } = search.timeline;
  const wantedMs = latestStart(due, slotMs);
  const earliestMs = Math.min(wantedMs, ceilToSlot(due.earliestMs, slotMs));
  for (let startMs = wantedMs; startMs >= earliestMs; ) {
    const candidate = candidateAt(placing, search, startMs);
    if (startMs + candidate.block.durationS * 1000 > search.window.lastEndMs) {
      startMs -= slotMs;
      continue;
    }
    const inTheWay = findObstacle(placing, search, candidate);
    if (inTheWay === null) return candidate;
    startMs = Math.min(startMs - slotMs, floorToSlot(inTheWay.tryBeforeMs, slotMs));
  }
  const closeMs = search.window.lastEndMs;
  for (let startMs = wantedMs + slotMs; startMs < closeMs; ) {
    const candidate = candidateAt(placing, search, startMs);
    if (startMs + candidate.block.durationS * 1000 > closeMs) break;
    const inTheWay = findObstacle(placing, search, candidate);
    if (inTheWay === null) return candidate;
    startMs = Math.max(startMs + slotMs, ceilToSlot(inTheWay.tryAfterMs, slotMs));
  }
  return null;
}

/** What keeps a candidate from running, and the nearest starts on both sides worth trying. */
export function findObstacle(
  placing: PlacementBed,
  search: Search,
  candidate: Candidate,
  load?: SupplyLoad,
): { by: Obstacle; tryBeforeMs: number; tryAfterMs: number } | null {
  const { startMs, block } = candidate;
  const durationMs = block.durationS * 1000;
  const keepOff = placing.keepOffs.find(
    (off) => startMs < off.endMs && startMs + durationMs > off.startMs,
  );
  if (keepOff !== undefined) {
    return {
      by: { kind: 'keep_off', off: causeOfKeepOff(keepOff), endMs: keepOff.endMs },
      tryBeforeMs: keepOff.startMs - durationMs,
      tryAfterMs: keepOff.endMs,
    };
  }
  const asked = load ?? supplyLoad(search.timeline, block);
  const limit = supplyConflict(search.timeline, asked, startMs);
  if (limit === null) return null;
  return { by: limit, tryBeforeMs: startMs, tryAfterMs: startMs };
}

/** The cycle that fits the room that the store has at its start. */
function candidateAt(placing: PlacementBed, search: Search, startMs: number): Candidate {
  const { balance, doseCapMm } = placing;
  const roomMm = roomAt(balance, startMs);
  const netMm = Math.min(roomMm, doseCapMm);
  return { startMs, roomMm, ...blockAt(placing, search, startMs, netMm) };
}

/**
 * The cycle of a net depth at a start, the drier parts of the bed brought up with the others.
 *
 * @param state The bed's at the start; left out: what its balance has then.
 */
export function blockAt(
  placing: PlacementBed,
  search: Pick<Search, 'limits' | 'driftAt'>,
  startMs: number,
  netMm: number,
  state: BedState = stateBefore(placing.balance, startMs),
): { block: CycleBlock; driftLossFraction: number } {
  const driftLossFraction = search.driftAt(startMs);
  const { stations, balance, doseCapMm } = placing;
  const drierMm = drierThanWettest(balance, stations, state);
  const { limits } = search;
  // What is asked for may pass the cap, as a person's own rotations do.
  const capMm = Math.max(netMm, doseCapMm);
  const block = cycleBlock({ stations, netMm, drierMm, capMm, driftLossFraction, limits });
  return { block, driftLossFraction };
}

/** The last start on the grid that is safe, but never before the bed is open for water. */
export function latestStart(due: DueWindow, slotMs: number): number {
  return Math.max(floorToSlot(due.latestMs, slotMs), ceilToSlot(due.openMs, slotMs));
}

export function floorToSlot(instantMs: number, slotMs: number): number {
  return Math.floor(instantMs / slotMs) * slotMs;
}

export function ceilToSlot(instantMs: number, slotMs: number): number {
  return Math.ceil(instantMs / slotMs) * slotMs;
}

/** Keeps a depth that is a whole number of rotations from losing one to rounding of the machine. */
const SLACK_MM = 1e-8;

/** A dose without its start. */
export type WholeDose = Pick<Candidate, 'block' | 'driftLossFraction'>;

/**
 * Every dose of whole rotations that one depth makes of a bed's stations, from the least up to the
 * cap, the least first, in the air of an instant.
 *
 * @param state The bed's at that instant; left out: what its balance has then.
 */
export function wholeDoses(
  placing: PlacementBed,
  search: Pick<Search, 'limits' | 'driftAt'>,
  atMs: number,
  state: BedState = stateBefore(placing.balance, atMs),
): WholeDose[] {
  const found: WholeDose[] = [blockAt(placing, search, atMs, 0, state)];
  for (let last = found[0]; last !== undefined; ) {
    const depthMm = last.block.oneMoreMm + SLACK_MM;
    if (depthMm > placing.doseCapMm + 2 * SLACK_MM) break;
    const next = blockAt(placing, search, atMs, depthMm, state);
    if (next.block.rotations <= last.block.rotations) break;
    found.push(next);
    last = next;
  }
  return found;
}
