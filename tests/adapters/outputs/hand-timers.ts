import type { Timers } from '../../../adapters/outputs/timers.ts';

/** Both clocks and every timer in the hand of a test. */
export function handTimers(startMs: number) {
  let nowMs = startMs;
  let monoMs = 1_000;
  let waiting: { atMs: number; work: () => void }[] = [];
  const timers: Timers = {
    monoMs: () => monoMs,
    later: (delayMs, work) => {
      const mine = { atMs: monoMs + delayMs, work };
      waiting.push(mine);
      return () => {
        waiting = waiting.filter((one) => one !== mine);
      };
    },
  };
  return {
    timers,
    now: () => nowMs,
    /** Lets time pass, each timer at its moment. */
    pass: async (durationMs: number) => {
      const endMs = monoMs + durationMs;
      for (;;) {
        const next = waiting.toSorted((a, b) => a.atMs - b.atMs)[0];
        if (next === undefined || next.atMs > endMs) break;
        waiting = waiting.filter((one) => one !== next);
        const stepMs = Math.max(0, next.atMs - monoMs);
        monoMs += stepMs;
        nowMs += stepMs;
        next.work();
        await new Promise((resolve) => setImmediate(resolve));
      }
      nowMs += endMs - monoMs;
      monoMs = endMs;
    },
    /** Sets the clock on the wall; no time passes. */
    jump: (byMs: number) => {
      nowMs += byMs;
    },
  };
}
