import type { StationWater } from './station-water.ts';

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
