import { planDigest, planDocument } from '../../../adapters/plan-document.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { Coded } from '../../coded.ts';
import type { Db } from '../store/database.ts';
import type { StoredConfirmation, StoredPlan } from '../store/plans.ts';
import { siteClock } from '../time/site-clock.ts';

/**
 * What is wrong with a confirm as it stands in the store, or null when it is what a person gave: its
 * plan has the digest that was confirmed, every caution is ticked, and the log tells of it. Pure.
 *
 * @param isLogged Whether the log has its step: same digest, same instant, same name.
 */
export function faultOfConfirm(confirmation: StoredConfirmation, isLogged: boolean): Coded | null {
  const { stored, cautions } = confirmation;
  const { siteDay, revision } = stored.plan;
  if (!isAsKept(stored)) return { code: 'confirmed_row', siteDay, revision };
  if (!isLogged) return { code: 'not_in_log', siteDay, revision };
  const missing = unticked(stored.plan, cautions);
  if (missing.length === 0) return null;
  return { code: 'cautions_lacking', siteDay, revision, missing: missing.join(', ') };
}

/** Whether the log tells of a confirm, and of its leeway: the gate writes all in one transaction. */
export function isConfirmLogged(
  db: Db,
  { stored, atMs, who, leewayBedIds = null }: StoredConfirmation,
): boolean {
  const row = db
    .prepare(`SELECT 1 FROM step WHERE digest = ? AND kind = 'confirmed' AND at_ms = ? AND who = ?`)
    .get(stored.digest, atMs, who);
  if (row === undefined || leewayBedIds === null) return row !== undefined;
  const given = db
    .prepare(
      `SELECT 1 FROM step WHERE digest = ? AND kind = 'leeway_given' AND at_ms = ? AND who = ?
       AND what = ?`,
    )
    .get(stored.digest, atMs, who, leewaySaid(leewayBedIds));
  return given !== undefined;
}

/** How the log names the beds whose leeway was given. */
export function leewaySaid(bedIds: readonly string[]): string {
  return bedIds.join(', ');
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

/** What a person must have looked at before water may start; the message `confirm_caution.CODE` says it. */
interface Caution {
  code: string;
}

/** What every confirm asks for. */
export const CAUTIONS: readonly Caution[] = [
  { code: 'turf_clear' },
  { code: 'no_injector_armed' },
  { code: 'covers_off' },
];

/** Asked for besides where hours of the plan rest on weather that nobody measured or foretold. */
export const WEATHER_STANDS_IN: Caution = { code: 'weather_stands_in' };

/** Every caution that there is. */
export const ALL_CAUTIONS: readonly Caution[] = [...CAUTIONS, WEATHER_STANDS_IN];

/** The cautions that a confirm of this plan needs. The plan carries why, so its digest does too. */
export function cautionsFor(plan: Pick<DayPlan, 'weather'>): readonly Caution[] {
  return (plan.weather.standInH ?? 0) > 0 ? ALL_CAUTIONS : CAUTIONS;
}

/** The cautions of a plan that were not ticked. */
export function unticked(plan: Pick<DayPlan, 'weather'>, ticked: readonly string[]): string[] {
  const codes = cautionsFor(plan).map(({ code }) => code);
  return codes.filter((code) => !ticked.includes(code));
}
