import type { SiteClock } from '../../adapters/site-clock.ts';
import type { PlanCause, StoredPlan } from '../store/plans.ts';

const WHY: Readonly<Record<Exclude<PlanCause, 'morning'>, string>> = {
  person: 'because a person asked for it',
  weather: 'because the beds dry at other times than the plan before it said',
  restart: 'because the daemon was away or its clock was set',
  hold_over: 'because the time meant for a hold has passed',
};

/** Why a plan was made, in one sentence. */
export function sayCause(
  { cause, plan }: Pick<StoredPlan, 'cause' | 'plan'>,
  clock: SiteClock,
): string {
  const at = clock.timeOf(plan.madeAtMs);
  return cause === 'morning' ? `Morning plan, made at ${at}.` : `Made at ${at} ${WHY[cause]}.`;
}
