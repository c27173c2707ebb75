import { keepWorkedOut } from '../planning/make-plan.ts';
import { NotReckoned } from '../planning/not-reckoned.ts';
import { reckonerHere } from '../reckoner/reckoner-here.ts';
import { newestPlanOf } from '../store/plans.ts';
import { DAEMON } from '../store/steps.ts';
import { readerOf } from '../words/reader.ts';
import { sayWarning } from '../words/warning-words.ts';
import type { Job, JobParts } from './job.ts';

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
        const stored = await keepWorkedOut(
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
