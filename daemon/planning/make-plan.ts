import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { addAlert } from '../site/store/alerts.ts';
import { addAuditEntry, DAEMON } from '../site/store/audit-log.ts';
import { inTransaction, storeVersion } from '../site/store/database.ts';
import {
  addPlan,
  newestPlanOf,
  type PlanCause,
  planById,
  type StoredPlan,
} from '../site/store/plans.ts';
import { planAlerts } from '../words/notice-texts.ts';
import { alertReader } from '../words/plan-words.ts';
import { sayWarning } from '../words/warning-words.ts';
import type { Lift } from './open-holds.ts';
import type { PlanningContext } from './planning-context.ts';
import { type Proposal, prepareProposal, withNotes } from './propose-plan.ts';

/** What a plan is made for. */
export interface PlanRequest {
  cause: PlanCause;
  who: string;
  lift: Lift;
  /** Why it is made, for its warnings; left out: its cause says all. */
  reasons?: readonly PlanWarning[];
}

/** What keeping a plan needs. */
type KeepingContext = Pick<PlanningContext, 'db' | 'config' | 'nowMs'>;

/** A plan worked out on a store that has changed since is worked out anew, but not for ever. */
const MAX_TRIES = 4;

/**
 * Makes a held plan of the current site day and remembers it.
 *
 * @param workOut Where the plan is worked out; left out: here and now.
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function makePlan(
  context: PlanningContext,
  asked: PlanRequest,
  workOut: () => Promise<WorkedOutPlan> = () => workOutPlan(context, asked),
): Promise<StoredPlan> {
  const stored = await keepWorkedOutPlan(context, asked, workOut);
  if (stored === null) throw new Error('plan: not kept though it was asked for');
  return stored;
}

/**
 * Has a plan worked out and remembers it, held; null: there was no reason for one. The right to
 * write is taken only to keep it, so that no hold and no confirm waits while a plan is thought out.
 */
export async function keepWorkedOutPlan(
  keeping: KeepingContext,
  asked: Pick<PlanRequest, 'cause' | 'who'>,
  workOut: () => Promise<WorkedOutPlan | null>,
): Promise<StoredPlan | null> {
  const { db } = keeping;
  for (let tries = 1; ; tries++) {
    const made = await workOut();
    if (made === null) return null;
    const stored = inTransaction(db, () =>
      mayKeep(keeping, made, tries) ? keep(keeping, asked, made) : null,
    );
    if (stored !== null) return stored;
  }
}

/**
 * Whether the store is still the one that a plan was worked out from. Where reports come in all the
 * time it never is: at last a plan is kept all the same if no other was made meanwhile, since the
 * gate looks at holds, keep-offs and water of its own accord.
 */
function mayKeep({ db }: KeepingContext, { plan, version }: WorkedOutPlan, tries: number): boolean {
  if (storeVersion(db) === version) return true;
  if (tries < MAX_TRIES) return false;
  if ((newestPlanOf(db, plan.siteDay)?.plan.revision ?? 0) + 1 === plan.revision) return true;
  throw new Error(
    `plan: others were made while it was worked out (got ${MAX_TRIES} tries); look at the newest and try again`,
  );
}

/** Keeps a plan with its log line and its news; inside a transaction. */
function keep(
  { db, config, nowMs }: KeepingContext,
  { cause, who }: Pick<PlanRequest, 'cause' | 'who'>,
  { plan, lifts, lastHoldId, reasons, digest }: WorkedOutPlan,
): StoredPlan {
  const before = newestPlanOf(db, plan.siteDay)?.plan ?? null;
  const planId = addPlan(db, { cause, digest, plan, lifts, lastHoldId });
  const reader = alertReader(config);
  const why = reasons.map((reason) => sayWarning(reason, plan, reader));
  const because = why.map((text) => `; ${text}`).join('');
  addAuditEntry(db, {
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
  for (const news of planAlerts(stored, { before, why, reader }))
    addAlert(db, { ...news, atMs: nowMs });
  return stored;
}

/** A plan worked out whole and not kept: plain values, so that another process can work it out. */
export interface WorkedOutPlan extends Proposal {
  /** Why it was made, as it stands first in its warnings. */
  reasons: readonly PlanWarning[];
  digest: string;
  /** The store that it was worked out from: keeping it asks whether that is still the store. */
  version: string;
}

/**
 * Works out a plan of the current site day with its digest, and remembers nothing. It takes the
 * processor for a second or more, and no right to write meanwhile.
 *
 * @param asked.because Looks at the proposal; null: there is no reason for a plan.
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function workOutPlanIf(
  context: PlanningContext,
  asked: { lift: Lift; because(proposed: Proposal['plan']): readonly PlanWarning[] | null },
): Promise<WorkedOutPlan | null> {
  const { db, config } = context;
  const version = storeVersion(db);
  const proposal = (await prepareProposal(context, asked))();
  const reasons = asked.because(proposal.plan);
  if (reasons === null) return null;
  const plan = withNotes(proposal.plan, reasons);
  const digest = planDigest(planDocument(plan, config.clock));
  return { ...proposal, plan, reasons, digest, version };
}

/** The same for a plan that is wanted whatever it says. */
export async function workOutPlan(
  context: PlanningContext,
  asked: { lift: Lift; reasons?: readonly PlanWarning[] },
): Promise<WorkedOutPlan> {
  const { lift, reasons = [] } = asked;
  const made = await workOutPlanIf(context, { lift, because: () => reasons });
  if (made === null) throw new Error('plan: not worked out though it was asked for');
  return made;
}
