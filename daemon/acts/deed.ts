import { WeatherUnreadable } from '../../adapters/weather/source.ts';
import type { Lift } from '../planning/hold-keep-offs.ts';
import { makePlan } from '../planning/make-plan.ts';
import type { AsIf } from '../planning/person-rows.ts';
import { NoWeather } from '../planning/plan-weather.ts';
import type { PlanningContext } from '../planning/propose-plan.ts';
import { inTransaction } from '../store/in-transaction.ts';
import type { StoredPlan } from '../store/plans.ts';
import { newestPlanOf } from '../store/plans.ts';
import type { ActContext } from './act-context.ts';

/**
 * What a person is about to do, checked and not yet done: a preview plans with `asIf`, and `keep`
 * writes the same rows down.
 */
export interface Deed {
  /** What it says, in one line. */
  line: string;
  who: string;
  /** The rows that it would add. */
  asIf: AsIf;
  /** Holds that the plan after it is to lift. */
  lift: Lift;
  /** Writes its rows; called inside one transaction. Gives what was done, one line each. */
  keep(): string[];
}

/** A deed with the plan that came of it. */
export interface Done {
  lines: string[];
  /** The plan of the same day before, or null. */
  before: StoredPlan | null;
  /** The held revision; null where none could be made. */
  stored: StoredPlan | null;
}

/** Does it: all of its rows or none. */
export function keepDeed({ db }: Pick<ActContext, 'db'>, deed: Deed): string[] {
  return inTransaction(db, () => deed.keep());
}

/**
 * Does it, and makes the held plan that follows. What a person has put down stands even where no
 * plan can be made for want of weather.
 */
export async function keepAndPlan(context: PlanningContext, deed: Deed): Promise<Done> {
  const { db, config, nowMs } = context;
  const before = newestPlanOf(db, config.clock.siteDayOf(nowMs));
  const lines = keepDeed(context, deed);
  try {
    const stored = await makePlan(context, { cause: 'person', who: deed.who, lift: deed.lift });
    return { lines, before, stored };
  } catch (error) {
    if (!(error instanceof NoWeather) && !(error instanceof WeatherUnreadable)) throw error;
    return { lines: [...lines, `No plan could be made: ${error.message}`], before, stored: null };
  }
}
