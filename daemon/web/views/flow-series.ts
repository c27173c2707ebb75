import type { FlowSeries } from './day-line-view.ts';

/** The pump's flow over a day from the runs that are drawn, as steps. Pure. */
export function flowSeries(
  runs: readonly { startMs: number; endMs: number; flowLPerMin: number }[],
  limitLPerMin: number,
): FlowSeries {
  const changes = new Map<number, number>();
  for (const { startMs, endMs, flowLPerMin } of runs) {
    changes.set(startMs, (changes.get(startMs) ?? 0) + flowLPerMin);
    changes.set(endMs, (changes.get(endMs) ?? 0) - flowLPerMin);
  }
  const atMs = [...changes.keys()].sort((a, b) => a - b);
  let flow = 0;
  const flowLPerMin = atMs.map((ms) => {
    flow += changes.get(ms) ?? 0;
    // Sums of many stations drift by the last bits: a pump that stands must read 0.
    return Math.round(flow * 1000) / 1000;
  });
  return { atMs, flowLPerMin, limitLPerMin };
}
