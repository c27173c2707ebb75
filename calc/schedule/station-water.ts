import { STEP_MS, type StepGrid } from './demand.ts';

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
