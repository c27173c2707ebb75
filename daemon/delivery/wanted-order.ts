import type { ConfirmedPlan, Wanted } from '../../adapters/contract.ts';
import type { Hold } from '../store/holds.ts';
import type { OrderState } from '../store/owed.ts';
import { hasMoved } from './next-attempt.ts';

/** What stands in the store behind an order. */
export interface BehindOrder {
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
