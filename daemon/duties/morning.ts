import { makePlan } from '../planning/make-plan.ts';
import { hasMorningPlan } from '../store/plans.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { owedMorning } from '../time/due.ts';
import type { Duty, DutyParts } from './duty.ts';

/** Makes the one morning plan of each site day; one that could not be made is tried at the next wake. */
export function morningDuty({ config, db, weather, log, now, onPlan }: DutyParts): Duty {
  const rule = { ...config, ...config.site };
  return {
    name: 'morning plan',
    every: 'minute',
    async work() {
      const nowMs = now();
      const siteDay = owedMorning(nowMs, rule, (day) => hasMorningPlan(db, day));
      if (siteDay === null) return;
      try {
        const stored = await makePlan(
          { db, config, weather, nowMs },
          { cause: 'morning', who: DAEMON, lift: 'none' },
        );
        log.info(
          { siteDay, revision: stored.plan.revision, digest: stored.digest.slice(0, 8) },
          'morning plan made, held until a person confirms it',
        );
        onPlan?.(stored);
      } catch (error) {
        const what = error instanceof Error ? error.message : String(error);
        log.error({ siteDay }, `no morning plan: ${what}`);
        addStep(db, { atMs: now(), kind: 'plan_failed', who: DAEMON, siteDay, what });
      }
    },
  };
}
