import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planInForce } from '../gate/gate.ts';
import { plansOf, type StoredPlan } from '../store/plans.ts';
import { judgeRevision } from './judge-revision.ts';
import type { PlanningContext } from './planning-context.ts';
import { revisedWarning } from './revision-changes.ts';
import { type SiteNow, siteNow } from './site-now.ts';
import { waterToRun } from './water-to-run.ts';
import { type WorkedOut, workedOutIf } from './work-out.ts';

/**
 * Looks at how the beds stand now, and works the day out anew where that is another than the newest
 * plan says. Null: the plans may stay as they are.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to reckon with.
 */
export async function workedOutRevision(context: PlanningContext): Promise<WorkedOut | null> {
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
  // A look costs a small part of a plan.
  if (judge(plans, asSeen(newest, await siteNow(context), nowMs)) === null) return null;
  return workedOutIf(context, {
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
function asSeen(newest: DayPlan, { beds }: SiteNow, nowMs: number): DayPlan {
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
