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
import { storeVersion } from '../store/version.ts';
import { planNews } from '../words/plan-news.ts';
import { readerOf } from '../words/reader.ts';
import { sayWarning } from '../words/warning-words.ts';
import type { Lift } from './hold-keep-offs.ts';
import type { PlanningContext } from './planning-context.ts';
import { type WorkedOut, workedOut } from './work-out.ts';

/** What a plan is made for. */
export interface AskedPlan {
  cause: PlanCause;
  who: string;
  lift: Lift;
  /** Why it is made, for its warnings; left out: its cause says all. */
  reasons?: readonly PlanWarning[];
}

/** What keeping a plan needs. */
type Keeping = Pick<PlanningContext, 'db' | 'config' | 'nowMs'>;

/** A plan worked out on a store that has changed since is worked out anew, but not for ever. */
const MOST_TRIES = 4;

/**
 * Makes a held plan of the current site day and remembers it.
 *
 * @param workOut Where the plan is worked out; left out: here and now.
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function makePlan(
  context: PlanningContext,
  asked: AskedPlan,
  workOut: () => Promise<WorkedOut> = () => workedOut(context, asked),
): Promise<StoredPlan> {
  const stored = await keepWorkedOut(context, asked, workOut);
  if (stored === null) throw new Error('plan: not kept though it was asked for');
  return stored;
}

/**
 * Has a plan worked out and remembers it, held; null: there was no reason for one. The right to
 * write is taken only to keep it, so that no hold and no confirm waits while a plan is thought out.
 */
export async function keepWorkedOut(
  keeping: Keeping,
  asked: Pick<AskedPlan, 'cause' | 'who'>,
  workOut: () => Promise<WorkedOut | null>,
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
function mayKeep({ db }: Keeping, { plan, version }: WorkedOut, tries: number): boolean {
  if (storeVersion(db) === version) return true;
  if (tries < MOST_TRIES) return false;
  if ((newestPlanOf(db, plan.siteDay)?.plan.revision ?? 0) + 1 === plan.revision) return true;
  throw new Error(
    `plan: others were made while it was worked out (got ${MOST_TRIES} tries); look at the newest and try again`,
  );
}

/** Keeps a plan with its log line and its news; inside a transaction. */
function keep(
  { db, config, nowMs }: Keeping,
  { cause, who }: Pick<AskedPlan, 'cause' | 'who'>,
  { plan, lifts, lastHoldId, reasons, digest }: WorkedOut,
): StoredPlan {
  const before = newestPlanOf(db, plan.siteDay)?.plan ?? null;
  const planId = addPlan(db, { cause, digest, plan, lifts, lastHoldId });
  const reader = readerOf(config);
  const why = reasons.map((reason) => sayWarning(reason, plan, reader));
  const because = why.map((text) => `; ${text}`).join('');
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
  for (const news of planNews(stored, { before, why, reader }))
    addNews(db, { ...news, atMs: nowMs });
  return stored;
}
