import { display } from '../../adapters/display-units.ts';
import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addNews } from '../store/news.ts';
import {
  addPlan,
  newestPlanOf,
  type PlanCause,
  planById,
  type StoredPlan,
} from '../store/plans.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { planNews } from '../words/plan-news.ts';
import type { Lift } from './hold-keep-offs.ts';
import type { PlanningContext } from './planning-context.ts';
import { type Proposal, readyToPropose } from './propose-plan.ts';
import { withNotes } from './season-notes.ts';

interface Asked {
  cause: PlanCause;
  who: string;
  lift: Lift;
}

/**
 * Makes a held plan of the current site day and remembers it.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function makePlan(context: PlanningContext, asked: Asked): Promise<StoredPlan> {
  const { db } = context;
  const propose = await readyToPropose(context, asked);
  return inTransaction(db, () => keep(context, asked, propose(), []));
}

/**
 * Works out a plan and remembers it, held, when there is a reason to; the reason stands in it first.
 *
 * @param asked.because Looks at the proposal; null keeps nothing.
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function makePlanIf(
  context: PlanningContext,
  asked: Asked & { because(proposed: DayPlan): PlanWarning | null },
): Promise<StoredPlan | null> {
  const { db } = context;
  const propose = await readyToPropose(context, asked);
  return inTransaction(db, () => {
    const proposal = propose();
    const reason = asked.because(proposal.plan);
    return reason === null ? null : keep(context, asked, proposal, [reason]);
  });
}

/** Keeps a proposal with its log line and its news; inside a transaction. */
function keep(
  { db, config, nowMs }: PlanningContext,
  { cause, who }: Asked,
  { plan: proposed, lifts, lastHoldId }: Proposal,
  reasons: readonly PlanWarning[],
): StoredPlan {
  const plan = withNotes(proposed, reasons);
  const before = newestPlanOf(db, plan.siteDay)?.plan ?? null;
  const digest = planDigest(planDocument(plan, config.clock));
  const planId = addPlan(db, { cause, digest, plan, lifts, lastHoldId });
  const because = reasons.map(({ text }) => `; ${text}`).join('');
  addStep(db, {
    atMs: nowMs,
    kind: 'plan_made',
    who: who || DAEMON,
    siteDay: plan.siteDay,
    revision: plan.revision,
    digest,
    what: `${cause}: ${plan.runs.length} runs on ${plan.beds.length} beds, held${because}`,
  });
  const stored = planById(db, planId);
  if (stored === null) throw new Error('plan: not found right after it was added');
  const given = { before, reasons, clock: config.clock, show: display(config.units) };
  for (const news of planNews(stored, given)) addNews(db, { ...news, atMs: nowMs });
  return stored;
}
