import type { StoredPlan } from '../store/plans.ts';

/** The order by which a confirmed plan goes out. */
export function orderIdOf({ plan, digest }: Pick<StoredPlan, 'plan' | 'digest'>): string {
  return `${plan.siteDay}-r${plan.revision}-${digest.slice(0, 8)}`;
}

/** The order by which a change of it within its leeway goes out. */
export function changeOrderIdOf(
  stored: Pick<StoredPlan, 'plan' | 'digest'>,
  number: number,
): string {
  return `${orderIdOf(stored)}-c${number}`;
}

const CHANGE = /-r\d+-[\da-f]{8}-c(\d+)$/;
const DELIVERY = /-r\d+-[\da-f]{8}$/;

/** Which change an order brings, 0 for a plan as laid; one that passes on a stop brings what stands. */
export function changeNumberOf(orderId: string): number {
  const [, number] = CHANGE.exec(orderId) ?? [];
  if (number !== undefined) return Number(number);
  return DELIVERY.test(orderId) ? 0 : Number.POSITIVE_INFINITY;
}
