import { display } from '../../adapters/display-units.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planInForce } from '../gate/gate.ts';
import { judgeRevision } from '../planning/judge-revision.ts';
import { makePlanIf } from '../planning/make-plan.ts';
import { type SiteNow, siteNow } from '../planning/site-now.ts';
import { waterToRun } from '../planning/water-to-run.ts';
import { plansOf, type StoredPlan } from '../store/plans.ts';
import { DAEMON } from '../store/steps.ts';
import { sayRevision } from '../words/say-revision.ts';
import type { Duty, DutyParts } from './duty.ts';

/**
 * Brings the stores up to now and works the day out anew, again and again; keeps the outcome as a
 * held revision when a bed dries at another time than the newest plan says.
 */
export function revisionsDuty({ config, db, weather, log, now, onPlan }: DutyParts): Duty {
  const { clock, revisions: rule } = config;
  const show = display(config.units);
  let lookedMs = Number.NEGATIVE_INFINITY;
  let toldFault = '';
  const judge = (plans: readonly StoredPlan[], proposed: DayPlan, nowMs: number) =>
    judgeRevision({
      plans,
      inForce: planInForce(db, nowMs)?.plan ?? null,
      proposed,
      given: waterToRun(db, config, {
        fromMs: clock.startOf(clock.siteDayOf(nowMs)),
        nowMs,
      }),
      rule,
    });
  return {
    name: 'revisions',
    every: 'minute',
    async work() {
      const nowMs = now();
      const siteDay = clock.siteDayOf(nowMs);
      const plans = plansOf(db, siteDay);
      const newest = plans.at(-1)?.plan;
      if (newest === undefined || nowMs >= newest.endMs) return;
      // A plan just made is as good as a look; a clock stepped back must not stretch the wait.
      const lastMs = Math.max(lookedMs, newest.madeAtMs);
      if (nowMs >= lastMs && nowMs - lastMs < rule.everyMs) return;
      lookedMs = nowMs;
      try {
        // A look costs a small part of a plan, and holds up no hold meanwhile.
        const seen = asSeen(newest, await siteNow({ db, config, weather, nowMs }), nowMs);
        if (judge(plans, seen, nowMs) === null) {
          toldFault = '';
          return;
        }
        const stored = await makePlanIf(
          { db, config, weather, nowMs },
          {
            cause: 'weather',
            who: DAEMON,
            lift: 'none',
            because(proposed) {
              const current = plansOf(db, siteDay);
              const before = current.at(-1)?.plan;
              const move = judge(current, proposed, nowMs);
              if (move === null || before === undefined) return null;
              const text = sayRevision(
                move,
                { before, after: proposed },
                { timeOf: clock.timeOf, show },
              );
              return { code: 'revised', bedId: move.bedId, text: `${text}.` };
            },
          },
        );
        toldFault = '';
        if (stored === null) return;
        const { revision, warnings } = stored.plan;
        const why = warnings.find(({ code }) => code === 'revised')?.text;
        log.info(
          { siteDay, revision, digest: stored.digest.slice(0, 8) },
          `revision made, held until a person confirms it: ${why}`,
        );
        onPlan?.(stored);
      } catch (error) {
        const what = error instanceof Error ? error.message : String(error);
        // The same fault every quarter of an hour is one line.
        if (what !== toldFault) log.warn({ siteDay }, `no look at the weather: ${what}`);
        toldFault = what;
      }
    },
  };
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
