import type { ConfirmedPlan } from '../../adapters/contract.ts';
import type { StoredConfirmation } from '../store/confirmations.ts';
import { covers, type Hold } from '../store/holds.ts';

/**
 * The one maker of a `ConfirmedPlan`: from a confirm that stands in the store, less the beds that
 * holds have taken out of it since. A test sees to it that no other file does this.
 */
export function confirmedPlan(
  confirmation: StoredConfirmation,
  holds: readonly Hold[],
): ConfirmedPlan {
  const { stored, atMs, who, cautions } = confirmation;
  return {
    plan: stored.plan,
    digest: stored.digest,
    confirmation: { who, atMs, cautions },
    heldBedIds: stored.plan.beds
      .map((bed) => bed.bedId)
      .filter((bedId) => holds.some((hold) => covers(hold, bedId))),
  } as unknown as ConfirmedPlan;
}
