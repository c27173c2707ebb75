/** How many wrong PINs cost no wait, and how long the wait grows. */
interface Budget {
  free: number;
  longestWaitMs: number;
}

/** Wrong PINs of one asker for one name: what others type elsewhere does not count. */
export const CLIENT_BUDGET: Budget = { free: 3, longestWaitMs: 15 * 60_000 };
/** Wrong PINs of one address for whatever names: loose, since a whole crew may share an address. */
export const ADDRESS_BUDGET: Budget = { free: 30, longestWaitMs: 60_000 };

const FIRST_WAIT_MS = 2_000;
/** After so long without an attempt the earlier ones are forgotten. */
const FORGOTTEN_MS = 60 * 60_000;
/** More keys than this are an attack: the oldest go first. */
const MAX_KEYS = 10_000;

/** What an attempt counts against. */
export interface BudgetedKey {
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
  waitMs(counted: readonly BudgetedKey[], steadyMs: number): number;
  /** @returns What takes this one attempt back, of all it counted against or of one key. */
  failed(counted: readonly BudgetedKey[], steadyMs: number): (key?: string) => void;
  /** Forgets all of a key. */
  cleared(key: string): void;
  /** How many keys are remembered. */
  size(): number;
}

/** The wait doubles with each wrong PIN after the free ones, up to the longest of its budget. */
export function attempts(): Attempts {
  const failuresOf = new Map<string, Failures>();
  const waitOf = ({ key, budget }: BudgetedKey, steadyMs: number): number => {
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
        if (failuresOf.size <= MAX_KEYS) break;
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

/** Those who wait beside the one at work, of new devices; at a tenth of a second each. */
const MAX_NEW_WAITING = 24;
/** Those who go ahead: people at devices that they have signed in from before, and keepers. */
const MAX_KNOWN_WAITING = 100;

/** Where somebody stands. */
interface Place {
  /** Goes before all who do not. */
  isAhead: boolean;
  /** Who they share their turn with: an address. */
  group: string;
}

interface Waiting extends Place {
  begin(): Promise<void>;
  turnAway(): void;
}

/**
 * Works out PINs one at a time, so that guesses take one of the process's few threads for slow work
 * and never all: whoever stops water needs another.
 */
export interface PinQueue {
  /**
   * Does the work when its turn comes.
   * @returns Null when there was no room; nothing was done then.
   * @throws What the work throws.
   */
  enter<T>(place: Place, work: () => Promise<T>): Promise<T | null>;
  /** How many wait beside the one at work. */
  waiting(): number;
}

/**
 * A full queue gives the room of the group that has the most in it to one that has fewer: somebody
 * who sends a hundred guesses at once stands in their own way.
 */
export function pinQueue(): PinQueue {
  const ahead: Waiting[] = [];
  const others: Waiting[] = [];
  let isBusy = false;

  const goOn = async () => {
    if (isBusy) return;
    isBusy = true;
    for (let next = takeNext(); next !== undefined; next = takeNext()) await next.begin();
    isBusy = false;
  };
  const takeNext = () => ahead.shift() ?? others.shift();

  const hasRoom = ({ isAhead, group }: Place): boolean => {
    const [lane, most] = isAhead ? [ahead, MAX_KNOWN_WAITING] : [others, MAX_NEW_WAITING];
    if (lane.length < most) return true;
    const inGroup = new Map<string, number>();
    for (const one of lane) inGroup.set(one.group, (inGroup.get(one.group) ?? 0) + 1);
    const [crowd, size] = [...inGroup].reduce((a, b) => (b[1] > a[1] ? b : a), ['', 0]);
    if (size <= (inGroup.get(group) ?? 0) + 1) return false;
    const last = lane.findLastIndex((one) => one.group === crowd);
    lane.splice(last, 1)[0]?.turnAway();
    return true;
  };

  return {
    enter: (place, work) =>
      new Promise((resolve, reject) => {
        if (!hasRoom(place)) {
          resolve(null);
          return;
        }
        (place.isAhead ? ahead : others).push({
          ...place,
          begin: () => Promise.resolve().then(work).then(resolve, reject),
          turnAway: () => resolve(null),
        });
        void goOn();
      }),
    waiting: () => ahead.length + others.length,
  };
}
