import { standingRuns } from '../../adapters/standing-runs.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { confirmedPlan } from '../gate/confirmed-plan.ts';
import type { StoredConfirmation } from '../store/confirmations.ts';
import { covers, type Hold } from '../store/holds.ts';

/** A confirm with the holds that were put on against it. */
export interface HeldConfirmation {
  confirmation: StoredConfirmation;
  holds: readonly Hold[];
}

/**
 * Runs that are taken to have run between two instants: confirmed, not missed, not replaced by a
 * later confirm, and not stopped by a hold before they started. Pure.
 *
 * @param confirmations Oldest first.
 */
export function appliedRuns(
  confirmations: readonly HeldConfirmation[],
  fromMs: number,
  toMs: number,
): Run[] {
  return confirmations.flatMap(({ confirmation, holds }, index) => {
    const replacedMs = confirmations[index + 1]?.confirmation.atMs ?? Number.POSITIVE_INFINITY;
    const endMs = Math.min(toMs, replacedMs);
    return standingRuns(confirmedPlan(confirmation, [])).filter(
      (run) =>
        // One that runs over the beginning counts: its balance takes only what falls after it.
        run.startMs + run.runS * 1000 > fromMs &&
        run.startMs < endMs &&
        !holds.some((hold) => covers(hold, run.bedId) && run.startMs >= hold.atMs),
    );
  });
}
