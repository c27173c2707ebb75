import { display } from '../../adapters/display-units.ts';
import type { HoldStanding } from '../gate/held-beds.ts';
import { holdStandings } from '../planning/hold-standing.ts';
import { planBy, type Reckoner } from '../reckoner/reckoner.ts';
import { reckonerHere } from '../reckoner/reckoner-here.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addNews, toldKeys } from '../store/news.ts';
import { newestPlan } from '../store/plans.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { holdReminders } from '../words/hold-reminders.ts';
import type { Job, JobParts } from './job.ts';

/**
 * Reminds of holds as they eat the time to dry of their beds, each step once; and proposes a plan
 * that lifts a hold when the time meant for it has passed. It lifts nothing.
 */
export function holdWatchJob(parts: JobParts): Job {
  const { config, db, log, now, reckoner = reckonerHere(parts) } = parts;
  const { clock } = config;
  const say = { timeOf: clock.timeOf, show: display(config.units) };
  return {
    name: 'holds',
    every: 'minute',
    async work() {
      const nowMs = now();
      const standings = holdStandings(db, config, nowMs);
      if (standings.length === 0) return;
      const siteDay = clock.siteDayOf(nowMs);
      for (const { key, text } of holdReminders(standings, toldKeys(db, 'hold '), say)) {
        const isNew = inTransaction(db, () => {
          const news = { key, atMs: nowMs, kind: 'hold_reminder', text, siteDay } as const;
          if (!addNews(db, news)) return false;
          addStep(db, { atMs: nowMs, kind: 'hold_reminder', who: DAEMON, siteDay, what: text });
          return true;
        });
        if (isNew) log.warn(text);
      }
      await proposeLift({ ...parts, reckoner }, standings, nowMs);
    },
  };
}

/** A plan that lifts what is over, held, unless the newest already does. */
async function proposeLift(
  { config, db, log, onPlan, reckoner }: JobParts & { reckoner: Reckoner },
  standings: readonly HoldStanding[],
  nowMs: number,
): Promise<void> {
  const over = standings.filter(({ isOver }) => isOver).map(({ hold }) => hold.holdId);
  const newest = newestPlan(db);
  const isLifted = (holdId: number) =>
    newest !== null && nowMs < newest.plan.endMs && newest.lifts.includes(holdId);
  if (over.every(isLifted)) return;
  const stored = await planBy(
    reckoner,
    { db, config, nowMs },
    // What is over is lifted by any plan made since; other holds stay.
    { cause: 'hold_over', who: DAEMON, lift: 'none' },
  );
  const { siteDay, revision } = stored.plan;
  log.info({ siteDay, revision }, 'a plan that lifts a hold is proposed, held');
  onPlan?.(stored);
}
