import type { StoredConfirmation } from '../store/confirmations.ts';
import type { Db } from '../store/database.ts';
import { unticked } from './cautions.ts';
import { isAsKept } from './plan-as-kept.ts';

/**
 * What is wrong with a confirm as it stands in the store, or null when it is what a person gave: its
 * plan has the digest that was confirmed, every caution is ticked, and the log tells of it. Pure.
 *
 * @param isLogged Whether the log has its step: same digest, same instant, same name.
 */
export function faultOfConfirm(confirmation: StoredConfirmation, isLogged: boolean): string | null {
  const { stored, cautions } = confirmation;
  const { siteDay, revision } = stored.plan;
  const named = `revision ${revision} of ${siteDay}`;
  if (!isAsKept(stored)) {
    return `${named} is not the plan that was confirmed: its row does not fit its digest`;
  }
  if (!isLogged) return `the confirm of ${named} stands in no line of the log`;
  const missing = unticked(stored.plan, cautions);
  if (missing.length === 0) return null;
  return `the confirm of ${named} lacks ${missing.map(({ code }) => code).join(', ')}`;
}

/** Whether the log tells of a confirm: the gate writes both in one transaction. */
export function isConfirmLogged(db: Db, { stored, atMs, who }: StoredConfirmation): boolean {
  const row = db
    .prepare(`SELECT 1 FROM step WHERE digest = ? AND kind = 'confirmed' AND at_ms = ? AND who = ?`)
    .get(stored.digest, atMs, who);
  return row !== undefined;
}
