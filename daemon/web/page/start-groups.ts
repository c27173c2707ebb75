import type { LineCycle, RunState } from '../views/day-line-view.ts';

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
