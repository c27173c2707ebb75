import { WeatherUnreadable } from '../../adapters/weather/source.ts';
import type { Lift } from '../planning/hold-keep-offs.ts';
import { makePlan } from '../planning/make-plan.ts';
import { NotReckoned } from '../planning/not-reckoned.ts';
import type { Hypothetical } from '../planning/person-rows.ts';
import { NoWeather } from '../planning/plan-weather.ts';
import type { PlanningContext } from '../planning/planning-context.ts';
import type { WorkedOut } from '../planning/work-out.ts';
import { inTransaction } from '../store/in-transaction.ts';
import type { StoredPlan } from '../store/plans.ts';
import { newestPlanOf } from '../store/plans.ts';
import { storeRefusal } from '../store/refusal.ts';
import type { ActionContext } from './action-context.ts';

/**
 * What a person is about to do, checked and not yet done: a preview plans with `hypothetical`, and `keep`
 * writes the same rows down.
 */
export interface Action {
  /** What it says, in one line. */
  line: string;
  who: string;
  /** The rows that it would add. */
  hypothetical: Hypothetical;
  /** Holds that the plan after it is to lift. */
  lift: Lift;
  /** Writes its rows; called inside one transaction. Gives what was done, one line each. */
  keep(): string[];
}

/** What followed from an action that was done. */
export interface PlanAfter {
  /** The plan of the same day before, or null. */
  before: StoredPlan | null;
  /** The held revision; null where none could be made. */
  stored: StoredPlan | null;
  /** Why none could be made; null where one was. */
  noPlan: string | null;
}

/** An action with the plan that came of it. */
export interface Done extends Omit<PlanAfter, 'noPlan'> {
  lines: string[];
}

/** Does it: all of its rows or none. */
export function keepAction({ db }: Pick<ActionContext, 'db'>, action: Action): string[] {
  return inTransaction(db, () => action.keep());
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
  workOut?: () => Promise<WorkedOut>,
): Promise<PlanAfter> {
  const { db, config, nowMs } = context;
  const before = newestPlanOf(db, config.clock.siteDayOf(nowMs));
  try {
    const asked = { cause: 'person', who: action.who, lift: action.lift } as const;
    const stored = await makePlan(context, asked, workOut);
    return { before, stored, noPlan: null };
  } catch (error) {
    const isTold =
      error instanceof NoWeather ||
      error instanceof WeatherUnreadable ||
      error instanceof NotReckoned;
    const noPlan = isTold ? error.message : storeRefusal(error);
    if (noPlan === null) throw error;
    return { before, stored: null, noPlan };
  }
}

/**
 * Does it, and makes the held plan that follows.
 *
 * @param workOut Where the plan is worked out; left out: here and now.
 */
export async function keepAndPlan(
  context: PlanningContext,
  action: Action,
  workOut?: () => Promise<WorkedOut>,
): Promise<Done> {
  const lines = keepAction(context, action);
  const { before, stored, noPlan } = await planAfter(context, action, workOut);
  return {
    lines: noPlan === null ? lines : [...lines, `No plan could be made: ${noPlan}`],
    before,
    stored,
  };
}
