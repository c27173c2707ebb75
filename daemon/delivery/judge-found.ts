import type { Found, FoundStop } from '../../adapters/contract.ts';
import type { OrderState } from '../store/owed.ts';

/** What to do about what stands at an output. */
export type FoundStep =
  | { do: 'nothing' }
  /** What is wanted does not stand there: it is asked again. */
  | { do: 'put_right'; why: string }
  /** Runs stand there that the store knows nothing of: they are taken away. */
  | { do: 'empty'; why: string }
  /** Somebody has stopped water past the store: the stop is taken into it. */
  | { do: 'take_stop'; stop: FoundStop; why: string }
  /** Nobody could look. */
  | { do: 'tell'; why: string };

/** Ids of stops that went to an output past the store; the second number is their instant. */
const PAST_THE_STORE = /^stop-\d+-(\d+)(?:-with-.+)?$/;

/**
 * Judges what was read back at an output against what the store wants there. Pure.
 *
 * More water than is wanted is always taken away. Less is put right only where nothing says that
 * somebody meant it: a stop that went past the store, and that the store does not know of, is one
 * that a person put on.
 *
 * @param given.order The newest order of the output; null when the store knows of none at its place.
 */
export function judgeFound(given: {
  order: OrderState | null;
  found: Found;
  /** What is over stays there until it is taken away. */
  keepsPastOrders: boolean;
  /** Whether the store has the stop, as a hold of the same person at the same instant. */
  knowsStop(stop: FoundStop): boolean;
  /** Whether the store has owed such an order to this output, and no stop since. */
  isOfStore(orderId: string): boolean;
  nowMs: number;
}): FoundStep {
  const { order, found, keepsPastOrders, knowsStop, isOfStore, nowMs } = given;
  switch (found.kind) {
    case 'as_wanted':
      return { do: 'nothing' };
    case 'unseen':
      return { do: 'tell', why: found.detail };
    case 'nothing':
      return order !== null && isWanted(order, nowMs)
        ? { do: 'put_right', why: found.detail }
        : { do: 'nothing' };
    case 'other': {
      const { stop = null, orderId = '' } = found.order ?? {};
      const [, at] = PAST_THE_STORE.exec(orderId) ?? [];
      if (stop !== null && at !== undefined) {
        const exact = { ...stop, atMs: Number(at) };
        if (!knowsStop(exact)) return { do: 'take_stop', stop: exact, why: found.detail };
      }
      if (order !== null && isWanted(order, nowMs)) return { do: 'put_right', why: found.detail };
      // Its own sending looks after an order that is open; until it is there, the one before stands.
      // Not so past a stop: that would water what it took out, for as long as the open one is refused.
      const isOpen = order !== null && nowMs < order.validUntilMs;
      if (isOpen && isOfStore(orderId)) return { do: 'nothing' };
      // What is no order may be read as one by a receiver that is less strict.
      const isHarmless = found.order?.runsAhead === 0 && (stop !== null || !keepsPastOrders);
      return isHarmless ? { do: 'nothing' } : { do: 'empty', why: found.detail };
    }
  }
}

/**
 * Whether an order has to stand at its output: a plan that was taken there and whose day is not
 * over, or a withdrawal, however its sending went.
 */
export function isWanted(order: OrderState, nowMs: number): boolean {
  if (order.lastAnswer === 'superseded' || nowMs >= order.validUntilMs) return false;
  return order.kind === 'withdraw' || order.lastAnswer === 'accepted';
}
