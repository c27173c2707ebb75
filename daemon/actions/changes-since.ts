import { newestPlan, planOfRevision, type StoredPlan } from '../site/store/plans.ts';
import { changeLines } from '../words/confirm-words.ts';
import { type Reader, readerOf } from '../words/plan-words.ts';
import type { ActionContext } from './action-context.ts';

/**
 * The newest plan, and what it changes against the revision of its day that a person has read.
 * @param reader Whom it is told to; left out: the site's own.
 */
export function changesSince(
  { db, config, nowMs }: ActionContext,
  revision: number,
  reader: Reader = readerOf(config),
): { newest: StoredPlan | null; changes: string[] | null } {
  const newest = newestPlan(db);
  if (newest === null) return { newest, changes: null };
  const read = planOfRevision(db, newest.plan.siteDay, revision);
  if (read === null || read.planId === newest.planId) return { newest, changes: null };
  return { newest, changes: changeLines(read.plan, newest.plan, { fromMs: nowMs, reader }) };
}
