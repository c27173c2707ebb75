import type { Answer } from '../contract.ts';

/** Orders that a hold overtook and that are remembered as such. */
const OVERTAKEN_REMEMBERED = 1000;

/** The orders of one output, in the sequence in which they may take effect. */
interface OrderQueue {
  /**
   * Carries out a delivery behind all that was asked before it. `act` looks at the signal right
   * before each step that takes effect, and takes none once it is aborted.
   */
  deliver(orderId: string, act: (signal: AbortSignal) => Promise<Answer>): Promise<Answer>;
  /** Carries out a withdrawal at once: whatever is still under way is aborted first. */
  withdraw(orderId: string, act: (signal: AbortSignal) => Promise<Answer>): Promise<Answer>;
  /** Lets an accepted order take effect again: it was found not to stand any more. */
  forget(orderId: string): void;
  /** Waits for what is under way, but no longer than the patience; the rest is aborted. */
  close(patienceMs: number): Promise<void>;
}

interface UnderWay {
  orderId: string;
  abort: AbortController;
}

/**
 * Lets a withdrawal overtake everything. Every order carries all that stands at its moment, so an
 * order that was overtaken has nothing more to say: it is answered at once, as unknown when it had
 * begun, and is refused when it is asked again. Starting water waits its turn, stopping does not.
 */
export function holdsFirst(): OrderQueue {
  const once = oncePerOrder();
  const underWay = new Set<UnderWay>();
  const overtakenBy = new Map<string, string>();
  let turn: Promise<unknown> = Promise.resolve();

  function overtake(by: string): void {
    for (const { orderId, abort } of underWay) {
      overtakenBy.set(orderId, by);
      abort.abort();
    }
    for (const oldest of overtakenBy.keys()) {
      if (overtakenBy.size <= OVERTAKEN_REMEMBERED) break;
      overtakenBy.delete(oldest);
    }
  }

  function carryOut(
    orderId: string,
    behind: Promise<unknown>,
    act: (signal: AbortSignal) => Promise<Answer>,
  ): Promise<Answer> {
    const abort = new AbortController();
    const { signal } = abort;
    const mine = { orderId, abort };
    let begun = false;
    underWay.add(mine);
    const overtaken = new Promise<Answer>((resolve) => {
      signal.addEventListener('abort', () => {
        const by = overtakenBy.get(orderId);
        if (by === undefined)
          resolve({ kind: 'unknown', detail: 'the output was stopped under it' });
        else if (begun) resolve({ kind: 'unknown', detail: `overtaken by ${by} while under way` });
        else resolve({ kind: 'rejected', detail: `overtaken by ${by} before it had begun` });
      });
    });
    const begin = (): Promise<Answer> => {
      if (signal.aborted) return overtaken;
      begun = true;
      return act(signal);
    };
    const acted = behind.then(begin).finally(() => underWay.delete(mine));
    turn = Promise.allSettled([turn, acted]);
    return Promise.race([acted, overtaken]);
  }

  /** Asks an order that was overtaken for nothing again; the order that overtook it says it all. */
  function unlessOvertaken(orderId: string, act: () => Promise<Answer>): Promise<Answer> {
    const by = overtakenBy.get(orderId);
    if (by === undefined) return once(orderId, act);
    return Promise.resolve({ kind: 'rejected', detail: `overtaken by ${by}` });
  }

  return {
    deliver: (orderId, act) => unlessOvertaken(orderId, () => carryOut(orderId, turn, act)),
    withdraw: (orderId, act) =>
      unlessOvertaken(orderId, () => {
        overtake(orderId);
        return carryOut(orderId, Promise.resolve(), act);
      }),
    forget: once.forget,
    close: async (patienceMs) => {
      await settledWithin(turn, patienceMs);
      for (const { abort } of underWay) abort.abort();
    },
  };
}

/** True when the work came to its end in this time, well or badly. */
export async function settledWithin(work: Promise<unknown>, patienceMs: number): Promise<boolean> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<boolean>((resolve) => {
    timer = setTimeout(() => resolve(false), patienceMs);
  });
  try {
    return await Promise.race([Promise.allSettled([work]).then(() => true), late]);
  } finally {
    clearTimeout(timer);
  }
}

/** Accepted order ids that are remembered: months of plans and holds. */
const ACCEPTED_REMEMBERED = 1000;

interface OncePerOrder {
  (orderId: string, act: () => Promise<Answer>): Promise<Answer>;
  /** Has an order take effect once more when it is asked again: it does not stand out there. */
  forget(orderId: string): void;
}

/**
 * Lets an order take effect once: a repeat of an accepted order is answered from memory, a repeat
 * of one under way shares its answer, a repeat of any other tries again. Without it a late repeat
 * of a delivery could overwrite a hold that came after it.
 */
export function oncePerOrder(): OncePerOrder {
  const accepted = new Map<string, Answer>();
  const underWay = new Map<string, Promise<Answer>>();

  async function carryOut(orderId: string, act: () => Promise<Answer>): Promise<Answer> {
    try {
      const answer = await act();
      if (answer.kind === 'accepted') {
        accepted.set(orderId, answer);
        const oldest = accepted.keys().next().value;
        if (accepted.size > ACCEPTED_REMEMBERED && oldest !== undefined) accepted.delete(oldest);
      }
      return answer;
    } finally {
      underWay.delete(orderId);
    }
  }

  const once = (orderId: string, act: () => Promise<Answer>): Promise<Answer> => {
    const before = accepted.get(orderId);
    if (before !== undefined) {
      return Promise.resolve({
        kind: 'accepted',
        detail: `${before.detail} (the order was repeated)`,
      });
    }
    const shared = underWay.get(orderId) ?? carryOut(orderId, act);
    underWay.set(orderId, shared);
    return shared;
  };
  return Object.assign(once, { forget: (orderId: string) => void accepted.delete(orderId) });
}
