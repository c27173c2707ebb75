import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addPlan, type PlanCause, planById, type StoredPlan } from '../store/plans.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import type { Lift } from './hold-keep-offs.ts';
import { type PlanningContext, readyToPropose } from './propose-plan.ts';

/**
 * Makes a held plan of the current site day and remembers it.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function makePlan(
  context: PlanningContext,
  asked: { cause: PlanCause; who: string; lift: Lift },
): Promise<StoredPlan> {
  const { db, config, nowMs } = context;
  const propose = await readyToPropose(context, asked);
  return inTransaction(db, (): StoredPlan => {
    const { plan, lifts, lastHoldId } = propose();
    const digest = planDigest(planDocument(plan, config.clock));
    const planId = addPlan(db, { cause: asked.cause, digest, plan, lifts, lastHoldId });
    addStep(db, {
      atMs: nowMs,
      kind: 'plan_made',
      who: asked.who || DAEMON,
      siteDay: plan.siteDay,
      revision: plan.revision,
      digest,
      what: `${asked.cause}: ${plan.runs.length} runs on ${plan.beds.length} beds, held`,
    });
    const stored = planById(db, planId);
    if (stored === null) throw new Error('plan: not found right after it was added');
    return stored;
  });
}
