import { setImmediate as nextTurn } from 'node:timers/promises';

/** Longer than this at a stretch nobody else is let wait: an order to stop may be among them. */
const SLICE_MS = 10;

/** Cuts long work into slices between which everything else has its turn. */
export interface Breather {
  /** True once the slice is used up. */
  due(): boolean;
  /** Lets everything else have its turn. */
  rest(): Promise<void>;
}

/** For one piece of work: `if (breath.due()) await breath.rest();` in its innermost long loop. */
export function breather(): Breather {
  let sinceMs = performance.now();
  return {
    due: () => performance.now() - sinceMs >= SLICE_MS,
    async rest() {
      await nextTurn();
      sinceMs = performance.now();
    },
  };
}
