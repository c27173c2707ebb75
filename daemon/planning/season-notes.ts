import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { inReadingOrder } from '../../calc/schedule/plan-warning.ts';

/** The season's water in one sentence, on every plan of a site that has an allowance. Pure. */
export function seasonNotes(
  { seasonWater }: DayPlan,
  seasonFrom: string,
  show: Pick<UnitDisplay, 'volume'>,
): PlanWarning[] {
  if (seasonWater === undefined) return [];
  const { allowedL, usedL, plannedL, leftL } = seasonWater;
  const left =
    leftL < 0 ? `${show.volume(-leftL)} over the limit` : `${show.volume(leftL)} left after it`;
  return [
    {
      code: 'season_allowance',
      bedId: null,
      text: `Season allowance of ${show.volume(allowedL)} since ${seasonFrom}: ${show.volume(usedL)} used, ${show.volume(plannedL)} planned here, ${left}.`,
    },
  ];
}

/** The plan with notes that can only be told once it is made, in their place among the others. */
export function withNotes(plan: DayPlan, notes: readonly PlanWarning[]): DayPlan {
  return { ...plan, warnings: inReadingOrder([...plan.warnings, ...notes]) };
}
