/** When the pump's valves open and shut, and how long it has to stand once all are shut. */
export interface PumpTimes {
  /** Least time between the pump stopping and starting again; 0: none. */
  readonly pumpRestMs: number;
  /** When it stopped before the first of the runs; null: not known, or long ago. */
  readonly pumpStoppedMs: number | null;
  /** Valve starts and ends, each in order. */
  readonly starts: readonly number[];
  readonly ends: readonly number[];
}

/**
 * Whether runs from one instant to another would start the pump too soon after it stopped, or stop
 * it too soon before it starts again. The runs asked for count as one stretch without a standstill;
 * runs that only touch leave the pump running.
 */
export function breaksPumpRest(
  times: PumpTimes,
  asked: { startMs: number; endMs: number },
): boolean {
  const { pumpRestMs, pumpStoppedMs, starts, ends } = times;
  if (pumpRestMs === 0) return false;
  const { startMs, endMs } = asked;
  const endedBefore = firstNotBefore(ends, startMs);
  if (firstNotBefore(starts, startMs) <= endedBefore) {
    const stoppedMs = Math.max(ends[endedBefore - 1] ?? -Infinity, pumpStoppedMs ?? -Infinity);
    if (startMs > stoppedMs && startMs - stoppedMs < pumpRestMs) return true;
  }
  const begun = firstNotBefore(starts, endMs + 1);
  if (begun <= firstNotBefore(ends, endMs + 1)) {
    if ((starts[begun] ?? Infinity) - endMs < pumpRestMs) return true;
  }
  return false;
}

/** How often the pump would start again too soon: taking runs out can bring that about as well. */
export function shortStandstills(times: PumpTimes): number {
  const { pumpRestMs, pumpStoppedMs, starts, ends } = times;
  if (pumpRestMs === 0) return 0;
  let count = 0;
  for (const [index, startMs] of starts.entries()) {
    // The pump stands when all that began before has ended.
    const ended = firstNotBefore(ends, startMs);
    if (ended < index || starts[index - 1] === startMs) continue;
    const stoppedMs = Math.max(ends[ended - 1] ?? -Infinity, pumpStoppedMs ?? -Infinity);
    if (startMs > stoppedMs && startMs - stoppedMs < pumpRestMs) count += 1;
  }
  return count;
}

/** Place of the first that is not before the value, in a sorted list; its length when none is. */
export function firstNotBefore(sorted: readonly number[], value: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((sorted[middle] ?? 0) < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Puts a time in its place. */
export function addTime(sorted: number[], value: number): void {
  sorted.splice(firstNotBefore(sorted, value), 0, value);
}

/** Takes one of that time out again. */
export function removeTime(sorted: number[], value: number): void {
  const place = firstNotBefore(sorted, value);
  if (sorted[place] === value) sorted.splice(place, 1);
}
