/** How many wrong PINs cost no wait, and how long the wait grows. */
interface Budget {
  free: number;
  longestWaitMs: number;
}

/** Wrong PINs of one asker for one name: what others type elsewhere does not count. */
export const ONE_ASKER: Budget = { free: 3, longestWaitMs: 15 * 60_000 };
/** Wrong PINs of one address for whatever names: loose, since a whole crew may share an address. */
export const ONE_ADDRESS: Budget = { free: 30, longestWaitMs: 60_000 };

const FIRST_WAIT_MS = 2_000;
/** After so long without an attempt the earlier ones are forgotten. */
const FORGOTTEN_MS = 60 * 60_000;
/** More keys than this are an attack: the oldest go first. */
const MOST_KEYS = 10_000;

/** What an attempt counts against. */
export interface Counted {
  key: string;
  budget: Budget;
}

interface Failures {
  count: number;
  lastMs: number;
}

/**
 * Counts wrong PINs and says how long the next one has to wait. Times are of a steady clock, which
 * nobody sets: no wait grows longer or shorter with the clock on the wall.
 */
export interface Attempts {
  /** Milliseconds until another attempt is taken; 0: now. */
  waitMs(counted: readonly Counted[], steadyMs: number): number;
  /** @returns What takes this one attempt back, of all it counted against or of one key. */
  failed(counted: readonly Counted[], steadyMs: number): (key?: string) => void;
  /** Forgets all of a key. */
  cleared(key: string): void;
  /** How many keys are remembered. */
  size(): number;
}

/** The wait doubles with each wrong PIN after the free ones, up to the longest of its budget. */
export function attempts(): Attempts {
  const failuresOf = new Map<string, Failures>();
  const waitOf = ({ key, budget }: Counted, steadyMs: number): number => {
    const failures = failuresOf.get(key);
    if (failures === undefined) return 0;
    if (steadyMs - failures.lastMs >= FORGOTTEN_MS) {
      failuresOf.delete(key);
      return 0;
    }
    if (failures.count < budget.free) return 0;
    const wait = Math.min(
      budget.longestWaitMs,
      FIRST_WAIT_MS * 2 ** (failures.count - budget.free),
    );
    return Math.max(0, failures.lastMs + wait - steadyMs);
  };
  return {
    waitMs: (counted, steadyMs) => Math.max(0, ...counted.map((one) => waitOf(one, steadyMs))),
    failed(counted, steadyMs) {
      const before = counted.map(({ key }) => ({ key, lastMs: failuresOf.get(key)?.lastMs }));
      for (const { key } of counted) {
        const count = (failuresOf.get(key)?.count ?? 0) + 1;
        failuresOf.delete(key);
        failuresOf.set(key, { count, lastMs: steadyMs });
      }
      for (const key of failuresOf.keys()) {
        if (failuresOf.size <= MOST_KEYS) break;
        failuresOf.delete(key);
      }
      return (only) => {
        for (const { key, lastMs } of before) {
          if (only !== undefined && only !== key) continue;
          const failures = failuresOf.get(key);
          if (failures === undefined) continue;
          failures.count -= 1;
          if (failures.count <= 0) failuresOf.delete(key);
          else if (lastMs !== undefined && failures.lastMs === steadyMs) failures.lastMs = lastMs;
        }
      };
    },
    cleared: (key) => {
      failuresOf.delete(key);
    },
    size: () => failuresOf.size,
  };
}
