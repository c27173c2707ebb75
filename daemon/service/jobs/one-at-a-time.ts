/** Work that never overlaps itself and never throws. */
export interface Round {
  (): Promise<void>;
  /** Ends when no round is under way. */
  settled(): Promise<void>;
}

/** Wraps work so: a call while it is under way gives the one under way. */
export function oneAtATime(work: () => Promise<void>, onError: (error: unknown) => void): Round {
  let running: Promise<void> | null = null;
  const run = () => {
    running ??= work()
      .catch(onError)
      .finally(() => {
        running = null;
      });
    return running;
  };
  return Object.assign(run, { settled: async () => running ?? undefined });
}
