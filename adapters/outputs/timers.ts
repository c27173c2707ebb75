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
