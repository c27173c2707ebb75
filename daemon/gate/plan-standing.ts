import { missedRuns, standingRuns } from '../../adapters/standing-runs.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { confirmationOf, newestConfirmation } from '../store/confirmations.ts';
import type { Db } from '../store/database.ts';
import type { StoredPlan } from '../store/plans.ts';
import { standingPlan } from './gate.ts';

/** Where a plan stands with people, and what of it may run. */
export type PlanStanding =
  | { kind: 'held'; runs: Run[] }
  | {
      kind: 'confirmed';
      who: string;
      atMs: number;
      heldBedIds: string[];
      runs: Run[];
      missed: Run[];
    }
  | { kind: 'stopped'; who: string; atMs: number }
  | { kind: 'replaced'; who: string; atMs: number };

/** Reads a plan's standing from the store. */
export function planStanding(db: Db, stored: StoredPlan): PlanStanding {
  const confirmation = confirmationOf(db, stored.planId);
  if (confirmation === null) return { kind: 'held', runs: stored.plan.runs };
  const { who, atMs, confirmationId } = confirmation;
  if (newestConfirmation(db)?.confirmationId !== confirmationId) {
    return { kind: 'replaced', who, atMs };
  }
  const standing = standingPlan(db, confirmationId);
  if (standing === null) return { kind: 'stopped', who, atMs };
  return {
    kind: 'confirmed',
    who,
    atMs,
    heldBedIds: [...standing.heldBedIds],
    runs: standingRuns(standing),
    missed: missedRuns(standing),
  };
}
