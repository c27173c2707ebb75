import { absenceReport } from '../field/absence-report.ts';
import { whatRan } from '../field/run-states.ts';
import { planBy } from '../reckoner/reckoner.ts';
import { reckonerHere } from '../reckoner/reckoner-here.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { readLastLook, writeLastLook } from '../store/last-look.ts';
import { addNews } from '../store/news.ts';
import { hasMorningPlan, newestPlanOf } from '../store/plans.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { type Absence, absenceBetween, type ClockLook } from '../time/absence.ts';
import { sayAbsence } from '../words/say-absence.ts';
import type { Job, JobParts } from './job.ts';

/** Of longer absences only the last so many days are gone through run by run. */
const MOST_MS = 8 * 24 * 3_600_000;

/**
 * Notices that the daemon was away, slept, or had its clock set; lists what was missed, and proposes
 * a catch-up, held. It sends nothing: what is owed and still valid goes out as ever.
 *
 * The list is made a look after the absence is seen: outputs that send run by run say by then what
 * they have missed.
 *
 * @param steadyMs A clock that nobody sets.
 */
export function absenceWatchJob(
  parts: JobParts,
  steadyMs: () => number = () => performance.now(),
): Job {
  const { config, db, log, now, onPlan, reckoner = reckonerHere(parts) } = parts;
  const { clock, dataFolder } = config;
  let last: ClockLook | null = null;
  let open: Absence | null = null;

  function tell(absence: Absence): string | null {
    const { toMs } = absence;
    const fromMs = Math.max(absence.fromMs, toMs - MOST_MS);
    const { runs } = whatRan(db, { fromMs, nowMs: now(), rule: config.field });
    const passedDays: { siteDay: string; hadPlan: boolean }[] = [];
    const today = clock.siteDayOf(toMs);
    for (let day = clock.siteDayOf(fromMs); day < today; day = clock.addDays(day, 1)) {
      passedDays.push({ siteDay: day, hadPlan: hasMorningPlan(db, day) });
    }
    const report = absenceReport(absence, { runs, passedDays });
    if (report === null) return null;
    const text = sayAbsence(absence, report, clock);
    const isNew = inTransaction(db, () => {
      const key = `away ${absence.fromMs} ${toMs}`;
      const news = { key, atMs: now(), kind: 'away', text, siteDay: today } as const;
      if (!addNews(db, news)) return false;
      addStep(db, { atMs: now(), kind: 'away', who: DAEMON, siteDay: today, what: text });
      return true;
    });
    if (isNew) log.warn(text);
    const plannedMs = newestPlanOf(db, today)?.plan.madeAtMs;
    // Without a plan of the day, or with one made since, there is nothing to catch up with.
    const isStale = plannedMs !== undefined && plannedMs <= Math.max(toMs, absence.fromMs);
    return isNew && report.catchUp && isStale ? today : null;
  }

  return {
    name: 'absences',
    every: 'minute',
    async work() {
      const look: ClockLook = { wallMs: now(), steadyMs: steadyMs() };
      const before = last ?? lookOf(readLastLook(dataFolder));
      last = look;
      const seen = absenceBetween(before, look);
      const due = open;
      open = seen;
      // Until the list is made the last look stands as it was: a second cut loses nothing.
      if (seen === null) writeLastLook(dataFolder, look.wallMs);
      const siteDay = due === null ? null : tell(due);
      if (siteDay === null) return;
      const stored = await planBy(
        reckoner,
        { db, config, nowMs: look.wallMs },
        {
          cause: 'restart',
          who: DAEMON,
          lift: 'none',
          reasons: [{ code: 'catch_up', bedId: null }],
        },
      );
      const { revision } = stored.plan;
      log.info({ siteDay, revision }, 'a catch-up is proposed, held until a person confirms it');
      onPlan?.(stored);
    },
  };
}

function lookOf(wallMs: number | null): ClockLook | null {
  return wallMs === null ? null : { wallMs, steadyMs: null };
}
