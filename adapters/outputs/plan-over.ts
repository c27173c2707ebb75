import type { Answer, ConfirmedPlan } from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';

/** A refusal when the plan's day is over: delivered late it would only mislead. Otherwise null. */
export function refusalWhenOver(
  { plan }: ConfirmedPlan,
  { where, nowMs, clock }: { where: string; nowMs: number; clock: SiteClock },
): Answer | null {
  if (nowMs < plan.endMs) return null;
  return {
    kind: 'rejected',
    detail: `${where}: the plan is over (got ${clock.isoOf(plan.endMs)} as its end); make a plan for today`,
  };
}
