import { planDigest, planDocument } from '../../../adapters/plan-document.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { Db } from '../store/database.ts';
import type { StoredConfirmation, StoredPlan } from '../store/plans.ts';
import { siteClock } from '../time/site-clock.ts';

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

/** What a person must have looked at before water may start. */
interface Caution {
  code: string;
  text: string;
}

/** What every confirm asks for. */
export const CAUTIONS: readonly Caution[] = [
  { code: 'turf_clear', text: 'The turf is clear of people and machines; pits are covered.' },
  { code: 'no_injector_armed', text: 'No injector is armed on these lines.' },
  { code: 'covers_off', text: 'Covers are off the beds that get water.' },
];

/** Asked for besides where hours of the plan rest on weather that nobody measured or foretold. */
export const WEATHER_STANDS_IN: Caution = {
  code: 'weather_stands_in',
  text: 'The plan rests on stand-in weather: you have looked at the sky, and the day is like that.',
};

/** Every caution that there is. */
export const ALL_CAUTIONS: readonly Caution[] = [...CAUTIONS, WEATHER_STANDS_IN];

/** The cautions that a confirm of this plan needs. The plan carries why, so its digest does too. */
export function cautionsFor(plan: Pick<DayPlan, 'weather'>): readonly Caution[] {
  return (plan.weather.standInH ?? 0) > 0 ? ALL_CAUTIONS : CAUTIONS;
}

/** The cautions of a plan that were not ticked. */
export function unticked(plan: Pick<DayPlan, 'weather'>, ticked: readonly string[]): Caution[] {
  return cautionsFor(plan).filter((caution) => !ticked.includes(caution.code));
}
