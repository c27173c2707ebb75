import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { type DryMove, dryMoves, type GivenWater } from '../../calc/schedule/plan-change.ts';
import type { PlanWarning, RevisionChange } from '../../calc/schedule/plan-warning.ts';
import type { RevisionRule } from '../site/config/service-schema.ts';
import { planInForce } from '../site/gate/gate.ts';
import { type PlanCause, plansOf, type StoredPlan } from '../site/store/plans.ts';
import { waterToRun } from './applied-water.ts';
import { workOutFollowing } from './follow-day.ts';
import { type WorkedOutPlan, workOutPlanIf } from './make-plan.ts';
import type { PlanningContext } from './planning-context.ts';
import { type SiteNow, siteNow } from './site-now.ts';

/**
 * Looks at how the beds stand now, and works the day out anew where that is another than the newest
 * plan says. Null: the plans may stay as they are.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to reckon with.
 */
export async function workOutRevision(context: PlanningContext): Promise<WorkedOutPlan | null> {
  const { db, config, nowMs } = context;
  const { clock } = config;
  const siteDay = clock.siteDayOf(nowMs);
  const judge = (plans: readonly StoredPlan[], proposed: DayPlan) =>
    judgeRevision({
      plans,
      inForce: planInForce(db, nowMs)?.plan ?? null,
      proposed,
      given: waterToRun(db, config, { fromMs: clock.startOf(siteDay), nowMs }),
      rule: config.revisions,
    });
  const plans = plansOf(db, siteDay);
  const newest = plans.at(-1)?.plan;
  if (newest === undefined) return null;
  // What the leeway of the plan in force lets the daemon do asks nobody for a new one.
  const followed = await workOutFollowing(context);
  if (followed !== null && followed.beyondBedIds.length === 0) return null;
  // A look costs a small part of a plan.
  if (judge(plans, withBedsNow(newest, await siteNow(context), nowMs)) === null) return null;
  return workOutPlanIf(context, {
    lift: 'none',
    because(proposed) {
      const current = plansOf(db, siteDay);
      const before = current.at(-1)?.plan;
      const move = judge(current, proposed);
      if (move === null || before === undefined) return null;
      return [revisedWarning(move, { before, after: proposed })];
    },
  });
}

/** The newest plan with its beds as they stand now: all that the judgement asks of a proposal. Pure. */
function withBedsNow(newest: DayPlan, { beds }: SiteNow, nowMs: number): DayPlan {
  return {
    ...newest,
    madeAtMs: nowMs,
    startMs: nowMs,
    beds: newest.beds.map((planned) => {
      const now = beds.find(({ bedId }) => bedId === planned.bedId);
      return now === undefined
        ? planned
        : { ...planned, dryAtMs: now.dryAtMs, storeNowMm: now.storeMm };
    }),
  };
}

/** A plan of the day, as far as a revision asks. */
export interface DayRevision {
  cause: PlanCause;
  plan: DayPlan;
}

/** A move back needs so many times the threshold. */
const BACK_FACTOR = 2;

/**
 * The bed for which a proposal should be kept as a revision, or null when the plans may stay as they
 * are. Pure.
 *
 * The proposal is held against the newest plan, which is what a person reads. Nothing within the
 * quiet time of the last revision; a move back of what that moved needs twice the threshold; and a
 * revision that nobody has confirmed is not undone while the plan in force is right.
 *
 * @param asked.plans Every plan of the site day, oldest first.
 * @param asked.inForce The plan in force, if there is one.
 * @param asked.given Water that was to run through the day: confirmed, sent and not taken out.
 */
export function judgeRevision(asked: {
  plans: readonly DayRevision[];
  inForce: DayPlan | null;
  proposed: DayPlan;
  given: readonly GivenWater[];
  rule: RevisionRule;
}): DryMove | null {
  const { plans, inForce, proposed, given, rule } = asked;
  const newest = plans.at(-1);
  if (newest === undefined) return null;
  const lastIndex = plans.findLastIndex(({ cause }) => cause === 'weather');
  const last = plans[lastIndex];
  const sinceMs = proposed.madeAtMs - (last?.plan.madeAtMs ?? Number.NEGATIVE_INFINITY);
  // A clock that was stepped back must not stretch the quiet time.
  if (sinceMs >= 0 && sinceMs < rule.quietMs) return null;
  const formerly = plans[lastIndex - 1];
  const lastMoves =
    last === undefined || formerly === undefined ? [] : dryMoves(formerly.plan, last.plan, given);
  const neededMin = ({ bedId, moveMin }: DryMove) => {
    const before = lastMoves.find((move) => move.bedId === bedId)?.moveMin ?? 0;
    const back = before * moveMin < 0 && Math.abs(before) >= rule.thresholdMin;
    return back ? BACK_FACTOR * rule.thresholdMin : rule.thresholdMin;
  };
  const moved = dryMoves(newest.plan, proposed, given).filter(
    (move) => Math.abs(move.moveMin) >= neededMin(move),
  );
  // The bed that will be dry first speaks for all; of two, the one that moved further.
  const [first] = moved.toSorted(
    (a, b) => a.afterMs - b.afterMs || Math.abs(b.moveMin) - Math.abs(a.moveMin),
  );
  if (first === undefined) return null;
  const unread = inForce !== null && newest.plan.revision !== inForce.revision;
  if (
    newest.cause === 'weather' &&
    unread &&
    inForce.siteDay === proposed.siteDay &&
    dryMoves(inForce, proposed, given).every((move) => Math.abs(move.moveMin) < rule.thresholdMin)
  ) {
    return null;
  }
  return first;
}

const WIND_STEP_M_PER_S = 1;
const TEMP_STEP_K = 1;
const RAIN_STEP_MM = 0.5;
const STORE_STEP_MM = 0.05;

/** Why a plan was made anew: which bed, from when to when, and what changed. Pure. */
function revisedWarning(move: DryMove, plans: { before: DayPlan; after: DayPlan }): PlanWarning {
  const { bedId, beforeMs, afterMs, moveMin } = move;
  const changes = whatChanged(move, plans);
  return { code: 'revised', bedId, beforeMs, afterMs, moveMin, changes };
}

function whatChanged(
  { moveMin, storeBeforeMm, storeAfterMm }: DryMove,
  { before, after }: { before: DayPlan; after: DayPlan },
): RevisionChange[] {
  const [was, is] = [before.weather, after.weather];
  // A later plan sees less of the day: what is lower in it may only be over. Before noon the day's
  // highest are still to come.
  const wholeAhead = after.madeAtMs < ((after.sunriseMs ?? 0) + (after.sunsetMs ?? 0)) / 2;
  const differs = (now: number, then: number, step: number) =>
    now - then >= step || (wholeAhead && then - now >= step);
  const changes: RevisionChange[] = [];
  if (differs(is.windMaxMPerS, was.windMaxMPerS, WIND_STEP_M_PER_S)) {
    changes.push({ kind: 'wind', wasMPerS: was.windMaxMPerS, isMPerS: is.windMaxMPerS });
  }
  if (differs(is.highC, was.highC, TEMP_STEP_K)) {
    changes.push({ kind: 'high', wasC: was.highC, isC: is.highC });
  }
  if (differs(is.rainMm, was.rainMm, RAIN_STEP_MM)) {
    changes.push({ kind: 'rain', wasMm: was.rainMm, isMm: is.rainMm });
  }
  if (Math.abs(storeAfterMm - storeBeforeMm) >= STORE_STEP_MM) {
    changes.push({ kind: 'store', wasMm: storeBeforeMm, isMm: storeAfterMm });
  }
  return changes.length > 0 ? changes : [{ kind: moveMin < 0 ? 'faster' : 'slower' }];
}
