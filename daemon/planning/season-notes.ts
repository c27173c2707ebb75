import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { inReadingOrder } from '../../calc/schedule/plan-warning.ts';

/** The season's water, on every plan of a site that has an allowance. Pure. */
export function seasonNotes({ seasonWater }: DayPlan, sinceDay: string): PlanWarning[] {
  if (seasonWater === undefined) return [];
  return [{ code: 'season_allowance', bedId: null, ...seasonWater, sinceDay }];
}

/** The plan with notes that can only be told once it is made, in their place among the others. */
export function withNotes(plan: DayPlan, notes: readonly PlanWarning[]): DayPlan {
  return { ...plan, warnings: inReadingOrder([...plan.warnings, ...notes]) };
}
