import type { ConfirmedPlan, Found, FoundStop, Wanted } from '../../adapters/contract.ts';
import type { Hold } from '../site/store/holds-and-keep-offs.ts';
import type { OrderState } from '../site/store/outbox.ts';

/** What to do with an open order now. */
export type OrderStep =
  | { do: 'send' }
  | { do: 'wait'; untilMs: number }
  | { do: 'end'; as: 'lapsed' | 'superseded'; why: string };

const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 60_000;

/**
 * Decides the next step of an open order. Pure.
 *
 * Every order carries all that stands at its moment, so only the newest of each output matters: an
 * older one is superseded, and a withdrawal never waits behind a delivery. After an answer that
 * nobody can vouch for it waits 2, 4, 8 ... up to 60 s, and is tried again under the same id.
 *
 * A plan that was confirmed while the output wrote to another place does not follow it there: nobody
 * has confirmed that water starts where it writes to now. A withdrawal goes wherever it writes.
 *
 * @param now.newestOrderId The newest order of the same output.
 * @param now.place Where the output writes to now; null: not known.
 */
export function nextStep(
  order: OrderState,
  { newestOrderId, place, nowMs }: { newestOrderId: string; place: string | null; nowMs: number },
): OrderStep {
  if (order.orderId !== newestOrderId) {
    return { do: 'end', as: 'superseded', why: `order ${newestOrderId} says what stands now` };
  }
  if (order.kind === 'deliver' && hasMoved(order, place)) {
    const why = `${order.output} writes to another place now; confirm a fresh plan`;
    return { do: 'end', as: 'superseded', why };
  }
  if (nowMs >= order.validUntilMs) {
    return { do: 'end', as: 'lapsed', why: 'its time is over' };
  }
  if (order.attempts === 0 || order.lastAttemptMs === null) return { do: 'send' };
  const waitMs = Math.min(FIRST_WAIT_MS * 2 ** (order.attempts - 1), LONGEST_WAIT_MS);
  const untilMs = order.lastAttemptMs + waitMs;
  // A clock that was stepped back must not stretch the wait beyond its length.
  if (nowMs >= untilMs || nowMs < order.lastAttemptMs) return { do: 'send' };
  return { do: 'wait', untilMs };
}

/** Whether an order became owed to another place than its output writes to now. */
export function hasMoved({ toPlace }: Pick<OrderState, 'toPlace'>, place: string | null): boolean {
  return toPlace !== null && place !== null && toPlace !== place;
}

/** What stands in the store behind an order. */
interface BehindOrder {
  siteId: string;
  /** Site day on which the hold was put on. */
  siteDay: string;
  /** What stands of the confirm that it carries; null: nothing. */
  standing: ConfirmedPlan | null;
  /** The order by which that confirm was owed to the same output; null: it never was. */
  delivery: OrderState | null;
  /** Where the output writes to now; null: not known. */
  place: string | null;
  /** The hold that it passes on; null: there is none. */
  hold: Hold | null;
}

/**
 * What an order wants to stand at its output; null when the store has nothing behind it. Pure.
 *
 * A stop of some beds lets the others go on only where their plan was confirmed for: nobody has
 * confirmed that water starts where an output has been moved to, or at one that is new.
 */
export function wantedFrom(
  { orderId, kind }: Pick<OrderState, 'orderId' | 'kind'>,
  { siteId, siteDay, standing, hold, delivery, place }: BehindOrder,
): Wanted | null {
  if (kind === 'deliver') {
    return standing === null ? null : { kind, orderId, confirmed: standing };
  }
  if (hold === null) return null;
  const { beds, who, why, atMs } = hold;
  const remaining = delivery === null || hasMoved(delivery, place) ? null : standing;
  return { kind, orderId, withdrawal: { siteId, siteDay, beds, who, why, atMs, remaining } };
}

/**
 * Whether an order is what has to stand where its output writes to now: not one that became owed to
 * another place, nor one that is over where such an order has to be taken away. Pure.
 *
 * @param given.place Where the output writes to now; null: not known.
 */
export function isLookedFor(
  order: OrderState,
  given: { place: string | null; keepsPastOrders: boolean; nowMs: number },
): boolean {
  const { place, keepsPastOrders, nowMs } = given;
  const isOver = nowMs >= order.validUntilMs;
  return !hasMoved(order, place) && !(isOver && keepsPastOrders);
}

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
