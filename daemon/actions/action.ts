import { makePlan, type WorkedOutPlan } from '../planning/make-plan.ts';
import type { Lift } from '../planning/open-holds.ts';
import type { Hypothetical } from '../planning/person-records.ts';
import { type PlanningContext, whyNotPlanned } from '../planning/planning-context.ts';
import { type AuditKind, addAuditEntry } from '../site/store/audit-log.ts';
import { inTransaction } from '../site/store/database.ts';
import { newestPlanOf, type StoredPlan } from '../site/store/plans.ts';
import { storeRefusal } from '../site/store/store-faults.ts';
import { type Message, type Say, sayMessage } from '../words/language.ts';
import { type Reader, readerOf, sayTo } from '../words/plan-words.ts';
import { logReader, sayTold, type Told } from '../words/told.ts';
import type { ActionContext } from './action-context.ts';

/**
 * What a person is about to do, checked and not yet done: a preview plans with `hypothetical`, and
 * `keepAction` writes the same rows down.
 */
export interface Action {
  who: string;
  /** What the log calls each of its lines; null: it leaves none. */
  step: AuditKind | null;
  /** What it says; each is a line of the log, of the site day that it is for. */
  told: readonly Told[];
  atMs: number;
  /** The rows that it would add, and what else a plan made with it would know. */
  hypothetical: Hypothetical;
  /** Holds that the plan after it is to lift. */
  lift: Lift;
  /** Writes its rows; called inside one transaction. */
  write(): void;
  /** What else there is to tell once it is kept. */
  after?(): readonly Told[];
}

/** What followed from an action that was done. */
export interface PlanAfter {
  /** The plan of the same day before, or null. */
  before: StoredPlan | null;
  /** The held revision; null where none could be made. */
  stored: StoredPlan | null;
  /** Why none could be made; null where one was. */
  noPlan: Message | string | null;
}

/** An action with the plan that came of it. */
export interface Done extends Omit<PlanAfter, 'noPlan'> {
  lines: string[];
}

/** Does it: all of its rows and the log's lines, or none. Gives what was done. */
export function keepAction(
  { db, config, nowMs }: Pick<ActionContext, 'db' | 'config' | 'nowMs'>,
  action: Action,
): Told[] {
  const { clock } = config;
  return inTransaction(db, () => {
    action.write();
    const siteDay = clock.siteDayOf(action.atMs);
    const { step, who } = action;
    if (step !== null) {
      for (const told of action.told) {
        addAuditEntry(db, {
          atMs: nowMs,
          kind: step,
          who,
          siteDay,
          what: sayTold(told, logReader(clock)),
        });
      }
    }
    return [...action.told, ...(action.after?.() ?? [])];
  });
}

/**
 * Makes the held plan that follows from an action. What a person has put down stands even where no plan
 * can be made for want of weather, or because the store refuses now.
 *
 * @param workOut Where the plan is worked out; left out: here and now.
 */
export async function planAfter(
  context: PlanningContext,
  action: Action,
  workOut?: () => Promise<WorkedOutPlan>,
): Promise<PlanAfter> {
  const { db, config, nowMs } = context;
  const before = newestPlanOf(db, config.clock.siteDayOf(nowMs));
  try {
    const asked = { cause: 'person', who: action.who, lift: action.lift } as const;
    const stored = await makePlan(context, asked, workOut);
    return { before, stored, noPlan: null };
  } catch (error) {
    const noPlan = whyNotPlanned(error) ?? storeRefusal(error);
    if (noPlan === null) throw error;
    return { before, stored: null, noPlan };
  }
}

/**
 * Does it, and makes the held plan that follows.
 *
 * @param given.workOut Where the plan is worked out; left out: here and now.
 * @param given.reader Whom it is told to; left out: the site's own.
 */
export async function keepAndPlan(
  context: PlanningContext,
  action: Action,
  given: { workOut?: () => Promise<WorkedOutPlan>; reader?: Reader } = {},
): Promise<Done> {
  const { workOut, reader = readerOf(context.config) } = given;
  const lines = keepAction(context, action).map((told) => sayTold(told, reader));
  const { before, stored, noPlan } = await planAfter(context, action, workOut);
  return {
    lines: noPlan === null ? lines : [...lines, sayNoPlan(noPlan, sayTo(reader))],
    before,
    stored,
  };
}

/** That no plan came of an act, and why. */
export function sayNoPlan(why: Message | string, say: Say): string {
  return say('no_plan_made', { why: sayMessage(why, say) });
}
