import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { StoredPlan } from '../store/plans.ts';
import { siteClock } from '../time/site-clock.ts';

/** By the plan that was read: the same row gives the same value until its text is another. */
const digests = new WeakMap<DayPlan, string | null>();

/**
 * The digest of a stored plan worked out anew over what its row holds; null when the row holds no
 * plan of which a digest can be taken, or one of before plans carried their site.
 */
export function digestAnew({ plan }: Pick<StoredPlan, 'plan'>): string | null {
  const known = digests.get(plan);
  if (known !== undefined) return known;
  const digest = workedOut(plan);
  digests.set(plan, digest);
  return digest;
}

function workedOut(plan: DayPlan): string | null {
  // Stryker disable next-line ConditionalExpression: without it no zone is found, which is the same
  if (plan.madeFor === undefined) return null;
  try {
    return planDigest(planDocument(plan, siteClock(plan.madeFor.zone)));
  } catch {
    return null;
  }
}

/** Whether a row still holds the plan that its digest was taken of. */
export function isAsKept(stored: Pick<StoredPlan, 'plan' | 'digest'>): boolean {
  return digestAnew(stored) === stored.digest;
}
