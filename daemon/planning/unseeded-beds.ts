import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Bed, KeepOff } from '../../calc/schedule/site.ts';

/**
 * The beds that have no seed yet on a site day, as far as is told: their day of seeding is to come,
 * or nobody has told one, and nobody has said that they are watered all the same. A bed that stands
 * past germination has been seen to grow. Pure.
 */
export function unseededBeds(beds: readonly Bed[], siteDay: string): Bed[] {
  return beds.filter(
    ({ seededOn, stage, waterBeforeSeeding }) =>
      waterBeforeSeeding !== true &&
      stage === 'germination' &&
      (seededOn === null || seededOn > siteDay),
  );
}

/** Nothing is planned on them: not a drop before there is something that it is for. */
export function unseededKeepOffs(
  unseeded: readonly Bed[],
  span: { startMs: number; endMs: number },
): KeepOff[] {
  return unseeded.map(({ id }) => ({ bedId: id, ...span, why: '', kind: 'not_seeded' }));
}

/** What a person is told of them. */
export function unseededNotes(unseeded: readonly Bed[]): PlanWarning[] {
  return unseeded.map(({ id, seededOn }) => ({ code: 'not_seeded', bedId: id, seededOn }));
}

/** The plan without what it says of dryness where there is no seed to dry. */
export function withoutUnseeded(plan: DayPlan, unseeded: readonly Bed[]): DayPlan {
  const ids = new Set(unseeded.map(({ id }) => id));
  if (ids.size === 0) return plan;
  return {
    ...plan,
    shortages: plan.shortages.filter(({ bedId }) => !ids.has(bedId)),
    warnings: plan.warnings.filter(
      ({ code, bedId }) => code !== 'does_not_fit' || bedId === null || !ids.has(bedId),
    ),
    notices: plan.notices.filter(
      ({ bedIds }) => bedIds.length === 0 || bedIds.some((bedId) => !ids.has(bedId)),
    ),
  };
}
