import type { DayLineView, FlowSeries, LineCycle, RunState } from '../views/today-view.ts';

const HOUR_MS = 3_600_000;

/** Where an instant lies across a picture. */
export interface DayScale {
  startMs: number;
  endMs: number;
  xOf(instantMs: number): number;
  /** Hours between two labels, so that they never touch. */
  stepH: number;
}

/** The part of the day that has something to show: daylight and every cycle, with a margin. */
export function dayScale(line: DayLineView, width: number): DayScale {
  const cycles = [...line.cycles, ...line.inForceCycles];
  const firstMs = Math.min(line.sunriseMs ?? line.startMs, ...cycles.map((one) => one.startMs));
  const lastMs = Math.max(line.sunsetMs ?? line.endMs, ...cycles.map((one) => one.endMs));
  const startMs = Math.max(line.startMs, firstMs - HOUR_MS / 2);
  const endMs = Math.min(line.endMs, lastMs + HOUR_MS / 2);
  return {
    startMs,
    endMs,
    xOf: (instantMs) => (width * (instantMs - startMs)) / Math.max(1, endMs - startMs),
    stepH: labelStepH((endMs - startMs) / HOUR_MS, width),
  };
}

/** Hours between two labels of about 44 pixels. */
export function labelStepH(hours: number, width: number): number {
  return [1, 2, 3, 4, 6, 12].find((stepH) => (width * stepH) / hours >= 52) ?? 12;
}

/** The stretch of a span that a picture shows; null where it shows none of it. */
export function clip(
  span: { startMs: number; endMs: number },
  scale: DayScale,
): { x: number; width: number } | null {
  const x = scale.xOf(Math.max(span.startMs, scale.startMs));
  const end = scale.xOf(Math.min(span.endMs, scale.endMs));
  return end > x ? { x, width: end - x } : null;
}

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

/** Cycles of a bed that are alike in all but their time. */
export interface StartGroup {
  state: RunState;
  watering: string;
  startMs: number[];
}

/** A bed's cycles, gathered so that a card can list their times in one line; the earliest first. */
export function startGroups(cycles: readonly LineCycle[]): StartGroup[] {
  const groups = new Map<string, StartGroup>();
  for (const cycle of cycles.toSorted((a, b) => a.startMs - b.startMs)) {
    const { state, watering, startMs } = cycle;
    const key = `${state} ${watering}`;
    const group = groups.get(key);
    if (group === undefined) {
      groups.set(key, { state, watering, startMs: [startMs] });
    } else {
      group.startMs.push(startMs);
    }
  }
  return [...groups.values()];
}
