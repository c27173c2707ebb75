import type { Coded } from '../../coded.ts';
import type { Db } from '../store/database.ts';
import { covers, type Hold, holdsAgainst } from '../store/holds-and-keep-offs.ts';
import { confirmationOf, newestConfirmation, newestPlan } from '../store/plans.ts';
import { confirmedPlan } from './confirmed-plan.ts';
import { type SiteChange, siteChanges, siteUsedBy } from './site-changes.ts';
import { isAsKept, isConfirmLogged } from './valid-confirm.ts';

/** What speaks against one plan, now that it is looked at again. */
export interface PlanDoubt {
  /** How its rows differ from what the gate wrote; null: they do not. */
  altered: Coded | null;
  /** How the site differs from what the plan was made for. */
  changes: SiteChange[];
}

/** What speaks against the plans that count; null where there is no such plan, or nothing does. */
export interface PlanDoubts {
  inForce: (PlanDoubt & { bedIds: string[]; holds: Hold[] }) | null;
  /** The newest plan, while it waits for its confirm. */
  waiting: PlanDoubt | null;
}

/** Looks at the plan in force and at the one that waits; changes nothing. */
export function planDoubts(db: Db, nowMs: number): PlanDoubts {
  return { inForce: doubtInForce(db, nowMs), waiting: doubtOfWaiting(db, nowMs) };
}

function doubtInForce(db: Db, nowMs: number): PlanDoubts['inForce'] {
  const newest = newestConfirmation(db);
  if (newest === null) return null;
  const { plan } = newest.stored;
  // The end of the day counts only where it is the one that was confirmed.
  const isOver = nowMs >= plan.endMs && (plan.madeFor === undefined || isAsKept(newest.stored));
  if (isOver) return null;
  const site = siteUsedBy(db);
  const isLogged = isConfirmLogged(db, newest);
  const standing = confirmedPlan(newest, { holds: [], isLogged, site });
  const altered =
    standing.confirmed === null && standing.because === 'store_altered' ? standing.fault : null;
  return {
    altered,
    changes: altered !== null || site === null ? [] : siteChanges(plan, site),
    bedIds: plan.beds.map((bed) => bed.bedId),
    holds: holdsAgainst(db, newest.confirmationId),
  };
}

function doubtOfWaiting(db: Db, nowMs: number): PlanDoubt | null {
  const newest = newestPlan(db);
  if (newest === null || nowMs >= newest.plan.endMs) return null;
  if (confirmationOf(db, newest.planId) !== null) return null;
  const site = siteUsedBy(db);
  const { siteDay, revision, madeFor } = newest.plan;
  const isAltered = madeFor !== undefined && !isAsKept(newest);
  return {
    altered: isAltered ? { code: 'waiting_row', siteDay, revision } : null,
    changes: isAltered || site === null ? [] : siteChanges(newest.plan, site),
  };
}

/** A stop that a doubt calls for: which beds, and why. */
export interface StopForDoubt {
  beds: 'all' | string[];
  why: { altered: Coded } | { changes: readonly SiteChange[] };
}

/**
 * What the daemon has to stop by itself, or null: the runs of a confirm whose rows were changed, or
 * whose beds are no longer what the plan was made for. It is a stop, so that nothing of it comes back
 * unasked when the change is taken back; what stops cover already is left alone. Pure.
 */
export function stopForDoubt(doubt: PlanDoubts['inForce']): StopForDoubt | null {
  if (doubt === null || doubt.holds.some((hold) => hold.beds === 'all')) return null;
  const { altered, changes } = doubt;
  if (altered !== null) return { beds: 'all', why: { altered } };
  if (changes.some(({ bedIds }) => bedIds === 'all')) return { beds: 'all', why: { changes } };
  const beds = doubt.bedIds.filter(
    (bedId) =>
      changes.some((change) => change.bedIds.includes(bedId)) &&
      !doubt.holds.some((hold) => covers(hold, bedId)),
  );
  if (beds.length === 0) return null;
  const ofBeds = changes.filter(({ bedIds }) => beds.some((id) => bedIds.includes(id)));
  return { beds, why: { changes: ofBeds } };
}
