import { stateOfStep, stepOfBed } from './bed-balance.ts';
import type { BedState } from './bed-followed.ts';
import { netOfParts, roomsOfParts } from './bed-moisture.ts';
import { STEP_MS } from './demand.ts';
import {
  blockAt,
  type Candidate,
  findObstacle,
  type PlacementBed,
  type Search,
} from './start-search.ts';
import { type SupplyLoad, supplyLoad } from './supply-timeline.ts';

/** Keeps a depth of whole turns from losing one to rounding. */
const ROUNDING_MM = 1e-9;
/** Costs far enough apart that minutes, cycles and water are never traded. */
const DRY_STEP_COST = 1e9;
const SHORT_STEP_COST = 1e6;
const CYCLE_COST = 1e3;

/** Where a bed stands at the beginning of a step, by the cheapest way there. */
interface Place {
  state: BedState;
  /** Rotations given so far. */
  rotations: number;
  cost: number;
  before: Place | null;
  /** The cycle that led here; null when the bed only waited. */
  cycle: Candidate | null;
}

/**
 * The cycles of one bed that leave it dry, then short, for the fewest minutes, of these ways the one
 * with the fewest cycles, of these the one with the least water, among the other beds' cycles as they stand.
 *
 * Follows every way through the day that differs in time or in rotations given, on the five-minute
 * steps of the balance: at each step a bed waits, or takes any dose that fits. Among ways that have
 * given as many rotations by the same step, only the cheapest is followed. Exact for a store whose
 * state follows from them; for others a good proposal, to be judged by its balance.
 */
export function bedPath(placing: PlacementBed, search: Search & { fromMs: number }): Candidate[] {
  const { balance } = placing;
  const { grid, demand, follower } = balance;
  const { limits, window } = search;
  const isWhole = balance.parts.length === 1;
  const first = Math.max(0, Math.ceil((search.fromMs - grid.startMs) / STEP_MS));
  const openStep = Math.ceil((window.firstStartMs - grid.startMs) / STEP_MS);
  const closeStep = Math.floor((window.lastEndMs - grid.startMs) / STEP_MS);
  const endStep = Math.min(
    grid.steps,
    Math.ceil((window.nextFirstStartMs - grid.startMs) / STEP_MS),
  );

  const shortCost = (state: BedState, step: number) => {
    const demandMm = demand.demandMm[step] ?? 0;
    if (!(demandMm > 0)) return 0;
    const { middleMm, riskMm } = follower.margins(state, step);
    if (middleMm < -1e-6) return DRY_STEP_COST + SHORT_STEP_COST;
    return riskMm < -1e-6 ? SHORT_STEP_COST : 0;
  };

  const layers: Map<number, Place>[] = [];
  const reach = (step: number, place: Place) => {
    const layer = layers[step] ?? new Map<number, Place>();
    layers[step] = layer;
    const standing = layer.get(place.rotations);
    if (standing === undefined || place.cost < standing.cost) layer.set(place.rotations, place);
  };
  const startState = stateOfStep(balance, first);
  const loads = new Map<string, SupplyLoad>();
  reach(first, { state: startState, rotations: 0, cost: 0, before: null, cycle: null });

  for (let step = first; step < endStep; step++) {
    const isOpen = step >= openStep && step < closeStep;
    const startMs = grid.startMs + step * STEP_MS;
    // Only where parts differ does a dose depend on how the bed stands.
    const known = { isFree: new Map<string, boolean>(), loads };
    const alike = isOpen && isWhole ? dosesAt(placing, search, startMs, startState, known) : [];
    for (const place of layers[step]?.values() ?? []) {
      const doses =
        isOpen && !isWhole ? dosesAt(placing, search, startMs, place.state, known) : alike;
      const state = stepOfBed(balance, place.state, step);
      const cost = place.cost + shortCost(state, step + 1);
      reach(step + 1, { state, rotations: place.rotations, cost, before: place, cycle: null });
      const roomsMm = roomsOfParts(balance, place.state);
      for (const cycle of doses) {
        const partsMm = netOfParts(balance, cycle.block.runs);
        // What one rotation brings beyond the room drains: no way to save a minute.
        if (partsMm.some((mm, part) => mm > (roomsMm[part] ?? 0) + 1e-9)) continue;
        const endMs = cycle.startMs + cycle.block.durationS * 1000;
        const freeMs = endMs + limits.restMin * 60_000;
        const until = Math.min(Math.ceil((freeMs - grid.startMs) / STEP_MS), endStep);
        let watered = place.state;
        let wateredCost = place.cost + CYCLE_COST + cycle.block.netMm;
        for (let at = step; at < until; at++) {
          const fromMs = grid.startMs + at * STEP_MS;
          const partFraction =
            Math.max(0, Math.min(endMs, fromMs + STEP_MS) - fromMs) / (endMs - cycle.startMs);
          const givenMm = partsMm.map((mm) => mm * partFraction);
          watered = stepOfBed(balance, watered, at, givenMm);
          wateredCost += shortCost(watered, at + 1);
        }
        const rotations = place.rotations + cycle.block.rotations;
        reach(until, { state: watered, rotations, cost: wateredCost, before: place, cycle });
      }
    }
    if (step > first) layers[step]?.clear();
  }
  return cyclesOf(layers[endStep]);
}

/**
 * Every dose up to the cap that may start then, whatever the store's room, the largest first.
 *
 * @param known What was found before of doses of these turns: whether they may start then, and what
 *   they ask of the supply at any start.
 */
function dosesAt(
  placing: PlacementBed,
  search: Search,
  startMs: number,
  state: BedState,
  known: { isFree: Map<string, boolean>; loads: Map<string, SupplyLoad> },
): Candidate[] {
  const found: Candidate[] = [];
  let netMm = placing.doseCapMm;
  for (;;) {
    const candidate = { startMs, roomMm: 0, ...blockAt(placing, search, startMs, netMm, state) };
    const { rotations, durationS, runs, oneFewerMm } = candidate.block;
    const turns = runs.map((run) => run.rotations).join(' ');
    const load = known.loads.get(turns) ?? supplyLoad(search.timeline, candidate.block);
    known.loads.set(turns, load);
    const isFree =
      known.isFree.get(turns) ??
      (startMs + durationS * 1000 <= search.window.lastEndMs &&
        findObstacle(placing, search, candidate, load) === null);
    known.isFree.set(turns, isFree);
    if (isFree) found.push(candidate);
    if (rotations <= 1) return found;
    netMm = oneFewerMm + ROUNDING_MM;
    if (blockAt(placing, search, startMs, netMm, state).block.rotations >= rotations) return found;
  }
}

function cyclesOf(layer: Map<number, Place> | undefined): Candidate[] {
  let best: Place | null = null;
  for (const place of layer?.values() ?? []) {
    if (best === null || place.cost < best.cost) best = place;
  }
  const cycles: Candidate[] = [];
  for (let place = best; place !== null; place = place.before) {
    if (place.cycle !== null) cycles.push(place.cycle);
  }
  return cycles.reverse();
}
