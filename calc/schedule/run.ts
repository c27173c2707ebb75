import { STEP_MS, type StepGrid } from './demand.ts';
import type { Site } from './site.ts';

/** One opening of one station. */
export interface Run {
  bedId: string;
  stationId: string;
  startMs: number;
  runS: number;
  rotations: number;
  /** Depth that leaves the nozzles. */
  grossMm: number;
  /** Depth that reaches the seedbed after drift and evaporation in flight. */
  netMm: number;
  /** Number of the bed's cycle that this run belongs to, from 1. */
  cycle: number;
}

/** What runs give to the parts of their bed. */
export function runWater(
  runs: readonly Pick<Run, 'stationId' | 'startMs' | 'runS' | 'netMm'>[],
): StationWater[] {
  return runs.map(({ stationId, startMs, runS, netMm }) => ({
    stationId,
    startMs,
    endMs: startMs + runS * 1000,
    netMm,
  }));
}

/** What is still to come of runs from an instant on: what has fallen is in the state already. */
export function waterToCome(
  runs: readonly Pick<Run, 'stationId' | 'startMs' | 'runS' | 'netMm'>[],
  fromMs: number,
): StationWater[] {
  return runWater(runs).flatMap((water) => {
    const startMs = Math.max(water.startMs, fromMs);
    if (water.endMs <= startMs) return [];
    const share = (water.endMs - startMs) / (water.endMs - water.startMs);
    return [{ ...water, startMs, netMm: water.netMm * share }];
  });
}

/** A cycle of the plan in force that has begun or is about to: it stands as it is. */
export interface KeptCycle {
  bedId: string;
  startMs: number;
  endMs: number;
  grossMm: number;
  netMm: number;
  rotations: number;
  driftLossFraction: number;
  runs: readonly Run[];
}

/** Water that a station gives to its part of a bed, evenly over a time; less than 0 takes it back. */
export interface StationWater {
  stationId: string;
  startMs: number;
  endMs: number;
  netMm: number;
}

/** The same water, taken back. */
export function takenBack(water: readonly StationWater[]): StationWater[] {
  return water.map((one) => ({ ...one, netMm: -one.netMm }));
}

/** What each part gets of a cycle: the mean of its stations over their time; null: nothing. */
export function waterOfParts(
  parts: readonly { stationIds: readonly string[] }[],
  cycle: readonly StationWater[],
): (Omit<StationWater, 'stationId'> | null)[] {
  return parts.map(({ stationIds }) => {
    const own =
      stationIds.length === 0
        ? cycle
        : cycle.filter(({ stationId }) => stationIds.includes(stationId));
    if (own.length === 0) return null;
    const stations = stationIds.length || new Set(own.map(({ stationId }) => stationId)).size;
    return {
      startMs: Math.min(...own.map((one) => one.startMs)),
      endMs: Math.max(...own.map((one) => one.endMs)),
      netMm: own.reduce((sum, one) => sum + one.netMm, 0) / stations,
    };
  });
}

/** Adds water to a series of steps, evenly over its time, mm. */
export function addEvenly(
  series: Float64Array,
  grid: StepGrid,
  { startMs, endMs, netMm }: { startMs: number; endMs: number; netMm: number },
): void {
  const durationMs = Math.max(1, endMs - startMs);
  const first = Math.max(0, Math.floor((startMs - grid.startMs) / STEP_MS));
  for (let step = first; step < grid.steps; step++) {
    const stepStartMs = grid.startMs + step * STEP_MS;
    if (stepStartMs >= endMs) break;
    // Water that begins after the grid is none of it.
    if (stepStartMs + STEP_MS <= startMs) continue;
    const overlapMs = Math.min(endMs, stepStartMs + STEP_MS) - Math.max(startMs, stepStartMs);
    series[step] = (series[step] ?? 0) + (netMm * overlapMs) / durationMs;
  }
}

/** Water that a person gave to a bed beside the plan. */
export interface HandWater {
  bedId: string;
  /** The station that was run; null: a hose or a can over the whole bed. */
  stationId: string | null;
  startMs: number;
  runS: number;
  /** Depth that left the nozzles; with a hose, what reached the bed. */
  grossMm: number;
}

/**
 * Hand watering as runs, so that the stores count it as they count a cycle: up to what they hold.
 *
 * A station loses drift in flight; a hose is held at the turf and does not. What goes over the whole
 * bed is given to the share of each of its stations, since a run waters its station's share alone.
 *
 * @param asked what was given; the site; the part lost in flight at an instant, 0 to 1.
 */
export function handWaterRuns(asked: {
  given: readonly HandWater[];
  site: Site;
  driftAt(instantMs: number): number;
}): Run[] {
  const { given, site, driftAt } = asked;
  return given.flatMap(({ bedId, stationId, startMs, runS, grossMm }) => {
    const shares = site.stations.filter(
      (station) => station.bedId === bedId && (stationId === null || station.id === stationId),
    );
    const lost = stationId === null ? 0 : driftAt(startMs);
    const netMm = grossMm * (1 - lost);
    return shares.map(
      (station): Run => ({
        bedId,
        stationId: station.id,
        startMs,
        runS,
        rotations: stationId === null ? 0 : Math.floor(runS / station.rotationS),
        grossMm,
        netMm,
        cycle: 0,
      }),
    );
  });
}
