/** Those who wait beside the one at work, of new devices; at a tenth of a second each. */
const MOST_NEW = 24;
/** Those who go ahead: people at devices that they have signed in from before, and keepers. */
const MOST_AHEAD = 100;

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
    const [lane, most] = isAhead ? [ahead, MOST_AHEAD] : [others, MOST_NEW];
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
