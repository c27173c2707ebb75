import { keepWorkedOutPlan } from '../../planning/make-plan.ts';
import { NotReckoned } from '../../planning/planning-context.ts';
import { owedMorning } from '../../site/config/morning.ts';
import { addAuditEntry, DAEMON } from '../../site/store/audit-log.ts';
import { hasMorningPlan, newestPlanOf } from '../../site/store/plans.ts';
import { readerOf } from '../../words/plan-words.ts';
import { sayWarning } from '../../words/warning-words.ts';
import { planBy, reckonerHere } from '../reckoner/reckoner.ts';
import type { Job, JobParts } from './job.ts';

export const MORNING_PLAN = 'morning plan';

/** Makes the one morning plan of each site day; one that could not be made is tried at the next wake. */
export function morningJob(parts: JobParts): Job {
  const { config, db, log, now, onPlan, reckoner = reckonerHere(parts) } = parts;
  const rule = { ...config, ...config.site };
  return {
    name: MORNING_PLAN,
    every: 'minute',
    async work() {
      const nowMs = now();
      const siteDay = owedMorning(nowMs, rule, (day) => hasMorningPlan(db, day));
      if (siteDay === null) return;
      try {
        const stored = await planBy(
          reckoner,
          { db, config, nowMs },
          { cause: 'morning', who: DAEMON, lift: 'none' },
        );
        log.info(
          { siteDay, revision: stored.plan.revision, digest: stored.digest.slice(0, 8) },
          'morning plan made, held until a person confirms it',
        );
        onPlan?.(stored);
      } catch (error) {
        // Whoever comes after makes it: nothing has failed.
        if (error instanceof NotReckoned && error.code === 'stopping') return;
        const what = error instanceof Error ? error.message : String(error);
        log.error({ siteDay }, `no morning plan: ${what}`);
        addAuditEntry(db, { atMs: now(), kind: 'plan_failed', who: DAEMON, siteDay, what });
      }
    },
  };
}

/**
 * Brings the stores up to now and works the day out anew, again and again; keeps the outcome as a
 * held revision when a bed dries at another time than the newest plan says.
 */
export function revisionsJob(parts: JobParts): Job {
  const { config, db, log, now, onPlan, reckoner = reckonerHere(parts) } = parts;
  const { clock, revisions: rule } = config;
  let lookedMs = Number.NEGATIVE_INFINITY;
  let toldFault = '';
  return {
    name: 'revisions',
    every: 'minute',
    async work() {
      const nowMs = now();
      const siteDay = clock.siteDayOf(nowMs);
      const newest = newestPlanOf(db, siteDay)?.plan;
      if (newest === undefined || nowMs >= newest.endMs) return;
      // A plan just made is as good as a look; a clock stepped back must not stretch the wait.
      const lastMs = Math.max(lookedMs, newest.madeAtMs);
      if (nowMs >= lastMs && nowMs - lastMs < rule.everyMs) return;
      lookedMs = nowMs;
      try {
        const stored = await keepWorkedOutPlan(
          { db, config, nowMs },
          { cause: 'weather', who: DAEMON },
          () => reckoner.ask('revision', { nowMs }),
        );
        toldFault = '';
        if (stored === null) return;
        const { revision, warnings } = stored.plan;
        const revised = warnings.find(({ code }) => code === 'revised');
        const why = revised === undefined ? '' : sayWarning(revised, stored.plan, readerOf(config));
        log.info(
          { siteDay, revision, digest: stored.digest.slice(0, 8) },
          `revision made, held until a person confirms it: ${why}`,
        );
        onPlan?.(stored);
      } catch (error) {
        if (error instanceof NotReckoned && error.code === 'stopping') return;
        const what = error instanceof Error ? error.message : String(error);
        // The same fault every quarter of an hour is one line.
        if (what !== toldFault) log.warn({ siteDay }, `no look at the weather: ${what}`);
        toldFault = what;
      }
    },
  };
}
