import { drainedFor } from './bed-moisture.ts';
import { blockOfTurns, stationWaterOf, turnsLike } from './cycle-block.ts';
import type { PlacedCycle, PlacementInput } from './placement-pass.ts';
import type { KeptCycle } from './run.ts';
import { ceilToSlot, findObstacle, type PlacementBed, type Search } from './start-search.ts';
import { bookRuns, bookSupply, SLOT_MS, supplyLoad, supplyTimeline } from './supply-timeline.ts';

/** Rotations that a person asked for beside what the bed is owed. */
export interface AskedRotation {
  bedId: string;
  rotations: number;
  askedMs: number;
  who: string;
}

/** A rotation that was asked for now is of no use later than this. */
const SOON_MS = 60 * 60_000;

/** What came of the rotations asked for: cycles, and those that found no place. */
export interface AskedPlaces {
  cycles: PlacedCycle[];
  unplaced: AskedRotation[];
}

/**
 * Lays the rotations that persons asked for as early as the supply and the keep-offs let them, none
 * later than an hour from now, in the order in which they were asked for. The store, the rest between
 * cycles and the hours of water are the person's own judgement here; the beds' balances are brought
 * up to date in place.
 *
 * @param day The day before its own cycles are placed.
 */
export function askedCycles(
  day: Omit<PlacementInput, 'slotMs'> & { kept: readonly KeptCycle[] },
  asked: readonly AskedRotation[],
): AskedPlaces {
  const { limits, startMs, kept, before, driftAt } = day;
  const endMs = startMs + SOON_MS;
  const timeline = supplyTimeline(limits, {
    startMs,
    endMs: endMs + SOON_MS,
    slotMs: SLOT_MS,
    before,
  });
  const stationOf = new Map(day.beds.flatMap((bed) => bed.stations.map((one) => [one.id, one])));
  for (const cycle of kept) bookRuns(timeline, cycle.runs, stationOf);
  const search: Search = { limits, window: day.window, timeline, driftAt };
  const places: AskedPlaces = { cycles: [], unplaced: [] };
  for (const one of asked) {
    const placing = day.beds.find((bed) => bed.bed.id === one.bedId);
    if (placing === undefined) continue;
    // Two cycles of one bed never run together.
    const freeMs = Math.max(
      startMs,
      ...kept.filter((cycle) => cycle.bedId === one.bedId).map((cycle) => cycle.endMs),
      ...places.cycles
        .filter((cycle) => cycle.bedId === one.bedId)
        .map((cycle) => cycle.startMs + cycle.block.durationS * 1000),
    );
    const cycle = firstPlace(placing, search, one, { fromMs: freeMs, endMs });
    if (cycle === null) places.unplaced.push(one);
    else places.cycles.push(cycle);
  }
  return places;
}

function firstPlace(
  placing: PlacementBed,
  search: Search,
  asked: AskedRotation,
  within: { fromMs: number; endMs: number },
): PlacedCycle | null {
  const { timeline } = search;
  for (let atMs = ceilToSlot(within.fromMs, SLOT_MS); atMs <= within.endMs; atMs += SLOT_MS) {
    const driftLossFraction = search.driftAt(atMs);
    const ground = { stations: placing.stations, driftLossFraction, limits: search.limits };
    const block = blockOfTurns(ground, turnsLike(ground, asked.rotations));
    const candidate = { startMs: atMs, roomMm: 0, block, driftLossFraction };
    if (findObstacle(placing, search, candidate) !== null) continue;
    bookSupply(timeline, supplyLoad(timeline, block), atMs);
    const drainedMm = drainedFor(placing.balance, stationWaterOf(block, atMs));
    const { bedId, who, askedMs } = asked;
    return {
      bedId,
      startMs: atMs,
      block,
      driftLossFraction,
      drainedMm,
      reasons: [{ code: 'asked_for', who, atMs: askedMs }],
    };
  }
  return null;
}
