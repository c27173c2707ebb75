import type { OrderState } from '../store/owed.ts';

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
