import { NotReckoned } from '../planning/not-reckoned.ts';
import { planBy } from '../reckoner/reckoner.ts';
import { reckonerHere } from '../reckoner/reckoner-here.ts';
import { hasMorningPlan } from '../store/plans.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { owedMorning } from '../time/due.ts';
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
        addStep(db, { atMs: now(), kind: 'plan_failed', who: DAEMON, siteDay, what });
      }
    },
  };
}
