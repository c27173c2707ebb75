/** Attempts that cost no wait. */
const FREE = 3;
const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 15 * 60_000;
/** After so long without an attempt the earlier ones are forgotten. */
const FORGOTTEN_MS = 60 * 60_000;
/** More keys than this are an attack: the oldest go first. */
const MOST_KEYS = 10_000;

interface Failures {
  count: number;
  lastMs: number;
}

/** Counts wrong PINs, by name and by address, and says how long the next one has to wait. */
export interface Attempts {
  /** Milliseconds until another attempt is taken; 0: now. */
  waitMs(keys: readonly string[], nowMs: number): number;
  failed(keys: readonly string[], nowMs: number): void;
  /** Forgets all of a key. */
  cleared(key: string): void;
  /** Takes the last one back: an address stays under watch, since others may guess from there. */
  takenBack(key: string): void;
}

/** The wait doubles with each wrong PIN after the free ones, up to a quarter of an hour. */
export function attempts(): Attempts {
  const failuresOf = new Map<string, Failures>();
  const waitOf = (key: string, nowMs: number): number => {
    const failures = failuresOf.get(key);
    if (failures === undefined) return 0;
    if (nowMs - failures.lastMs >= FORGOTTEN_MS) {
      failuresOf.delete(key);
      return 0;
    }
    if (failures.count < FREE) return 0;
    const wait = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** (failures.count - FREE));
    return Math.max(0, failures.lastMs + wait - nowMs);
  };
  return {
    waitMs: (keys, nowMs) => Math.max(0, ...keys.map((key) => waitOf(key, nowMs))),
    failed(keys, nowMs) {
      for (const key of keys) {
        const count = (failuresOf.get(key)?.count ?? 0) + 1;
        failuresOf.delete(key);
        failuresOf.set(key, { count, lastMs: nowMs });
      }
      for (const key of failuresOf.keys()) {
        if (failuresOf.size <= MOST_KEYS) break;
        failuresOf.delete(key);
      }
    },
    cleared: (key) => {
      failuresOf.delete(key);
    },
    takenBack(key) {
      const failures = failuresOf.get(key);
      if (failures !== undefined) failures.count -= 1;
    },
  };
}
