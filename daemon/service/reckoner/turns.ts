import { NotReckoned } from '../../planning/planning-context.ts';

/** Whose turn it is, and how soon. */
export interface Turn {
  /** The lowest goes first; of equals the one that came first. */
  rank: number;
  /** What one asker has waiting only once; null: everything of it waits. */
  key: string | null;
}

/** Works that run one at a time. */
export interface TurnQueue {
  /** @throws NotReckoned for a work that does not get its turn. */
  take<T>(turn: Turn, work: () => Promise<T>): Promise<T>;
  isIdle(): boolean;
  /** Refuses what waits and what comes. */
  stop(): void;
}

interface Waiting {
  turn: Turn;
  begin(): Promise<void>;
  refuse(error: NotReckoned): void;
}

/** Thoughts of all askers together that may wait; what somebody has done may wait beyond it. */
const MAX_THOUGHTS = 32;
const MAX_WAITING = 64;

/** A queue that is fair to askers and never grows without end. */
export function turnQueue(bounds = { thoughts: MAX_THOUGHTS, all: MAX_WAITING }): TurnQueue {
  const waiting: Waiting[] = [];
  let isBusy = false;
  let isStopped = false;

  const next = (): void => {
    if (isBusy || waiting.length === 0) return;
    const rank = Math.min(...waiting.map(({ turn }) => turn.rank));
    const [first] = waiting.splice(
      waiting.findIndex(({ turn }) => turn.rank === rank),
      1,
    );
    isBusy = true;
    void first?.begin().finally(() => {
      isBusy = false;
      next();
    });
  };

  return {
    isIdle: () => !isBusy && waiting.length === 0,
    take: (turn, work) =>
      new Promise((resolve, reject) => {
        if (isStopped) return reject(stopping());
        const entry: Waiting = {
          turn,
          begin: () => work().then(resolve, reject),
          refuse: reject,
        };
        const { key } = turn;
        const older = key === null ? -1 : waiting.findIndex((one) => one.turn.key === key);
        if (older >= 0) {
          // It waits on in the place of the older one: whoever asks often is not put off by that.
          const [replaced] = waiting.splice(older, 1, entry);
          replaced?.refuse(newerAsked());
          return;
        }
        const most = key === null ? bounds.all : bounds.thoughts;
        if (waiting.length >= most) return reject(tooBusy(waiting.length));
        waiting.push(entry);
        next();
      }),
    stop() {
      isStopped = true;
      for (const { refuse } of waiting.splice(0)) refuse(stopping());
    },
  };
}

function newerAsked(): NotReckoned {
  return new NotReckoned('newer_asked', { key: 'not_reckoned.newer_asked' });
}

function tooBusy(count: number): NotReckoned {
  return new NotReckoned('too_busy', { key: 'not_reckoned.too_busy', values: { count } });
}

/** What is told when the daemon stops, whatever was asked. */
export function stopping(): NotReckoned {
  return new NotReckoned('stopping', { key: 'not_reckoned.stopping' });
}
