import type { DayPlanInput } from '../calc/schedule/plan-day.ts';
import type { Run } from '../calc/schedule/run.ts';

const HOUR_MS = 3_600_000;
const QUARTER_MS = HOUR_MS / 4;
/** The busy hours of the site's day. */
const BUSY = [10, 16] as const;

/** Mean flow of each quarter of an hour in the busy hours, L/min. */
export function flowLevels(
  input: Pick<DayPlanInput, 'site' | 'dayStartMs'>,
  runs: readonly Pick<Run, 'stationId' | 'startMs' | 'runS'>[],
): number[] {
  const flowOf = new Map(input.site.stations.map((one) => [one.id, one.flowLPerMin]));
  const startMs = input.dayStartMs + BUSY[0] * HOUR_MS;
  const quarters = (BUSY[1] - BUSY[0]) * 4;
  return Array.from({ length: quarters }, (_, index) => {
    const fromMs = startMs + index * QUARTER_MS;
    const toMs = fromMs + QUARTER_MS;
    return runs.reduce((sum, run) => {
      const endMs = run.startMs + run.runS * 1000;
      const openMs = Math.max(0, Math.min(endMs, toMs) - Math.max(run.startMs, fromMs));
      return sum + ((flowOf.get(run.stationId) ?? 0) * openMs) / QUARTER_MS;
    }, 0);
  });
}

/** How level a flow is: the part of it within a fifth of its mean, and its variation. */
export function spreadOf(levels: readonly number[]): {
  withinFraction: number;
  variation: number;
} {
  const mean = levels.reduce((sum, value) => sum + value, 0) / levels.length;
  const square = levels.reduce((sum, value) => sum + (value - mean) ** 2, 0) / levels.length;
  const within = levels.filter((value) => Math.abs(value - mean) <= 0.2 * mean).length;
  return { withinFraction: within / levels.length, variation: Math.sqrt(square) / mean };
}
