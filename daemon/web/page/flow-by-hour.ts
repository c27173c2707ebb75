import type { FlowSeries } from '../views/day-line-view.ts';

/** Most flow and the mean flow of the pump in each span between two instants. */
export function flowByHour(
  flow: FlowSeries,
  bounds: readonly number[],
): { startMs: number; mostLPerMin: number; meanLPerMin: number }[] {
  return bounds.slice(0, -1).map((startMs, index) => {
    const endMs = bounds[index + 1] ?? startMs;
    let mostLPerMin = 0;
    let sum = 0;
    flow.atMs.forEach((fromMs, step) => {
      const untilMs = flow.atMs[step + 1] ?? Number.POSITIVE_INFINITY;
      const sharedMs = Math.min(untilMs, endMs) - Math.max(fromMs, startMs);
      if (sharedMs <= 0) return;
      const value = flow.flowLPerMin[step] ?? 0;
      mostLPerMin = Math.max(mostLPerMin, value);
      sum += value * sharedMs;
    });
    return { startMs, mostLPerMin, meanLPerMin: sum / Math.max(1, endMs - startMs) };
  });
}
