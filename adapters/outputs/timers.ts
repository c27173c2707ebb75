/** Time and timers from outside, so that tests steer them. */
export interface Timers {
  /** Milliseconds of a clock that nobody can set. */
  monoMs(): number;
  /** Calls after so many milliseconds; the result calls it off. */
  later(delayMs: number, work: () => void): () => void;
}

export const REAL_TIMERS: Timers = {
  monoMs: () => performance.now(),
  later: (delayMs, work) => {
    const timer = setTimeout(work, delayMs);
    return () => clearTimeout(timer);
  },
};

/** Time as a run-by-run output needs it: the clock on the wall, and one that nobody can set. */
export interface ClockReadings {
  nowMs: number;
  monoMs: number;
  /** Starts before this were jumped over: the wall clock went past them faster than time did. */
  notBeforeMs: number;
  /** How far the wall clock jumped since the last look; 0 when it did not. */
  jumpMs: number;
}

/** A clock drifts, and is corrected, by less than this between two looks. */
const JUMP_MS = 2_000;

/**
 * Compares two looks at both clocks. Pure. After a jump forward nothing that lies behind is made up
 * for; after a jump back the guard stays where it is only as long as it lies behind.
 */
export function compareClocks(
  before: ClockReadings | null,
  now: { nowMs: number; monoMs: number },
): ClockReadings {
  if (before === null) return { ...now, notBeforeMs: Number.NEGATIVE_INFINITY, jumpMs: 0 };
  const jumpMs = now.nowMs - before.nowMs - (now.monoMs - before.monoMs);
  if (Math.abs(jumpMs) < JUMP_MS) return { ...now, notBeforeMs: before.notBeforeMs, jumpMs: 0 };
  const forward = jumpMs > 0;
  const notBeforeMs = forward ? now.nowMs : Math.min(before.notBeforeMs, now.nowMs);
  return { ...now, notBeforeMs, jumpMs };
}
