import {
  type Absence,
  type AbsenceReport,
  absenceBetween,
  absenceReport,
  type ClockLook,
} from '../../delivery/absence.ts';
import { whatRan } from '../../delivery/what-ran.ts';
import { addAlert } from '../../site/store/alerts.ts';
import { addAuditEntry, DAEMON } from '../../site/store/audit-log.ts';
import { inTransaction } from '../../site/store/database.ts';
import { hasMorningPlan, newestPlanOf } from '../../site/store/plans.ts';
import type { RunState } from '../../site/store/run-state.ts';
import { readLastLook, writeLastLook } from '../../site/store/running-daemon.ts';
import { alertReader, type Reader, sayTo } from '../../words/plan-words.ts';
import { planBy, reckonerHere } from '../reckoner/reckoner.ts';
import type { Job, JobParts } from './job.ts';

/** Of longer absences only the last so many days are gone through run by run. */
const MAX_LISTED_MS = 8 * 24 * 3_600_000;

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
    const fromMs = Math.max(absence.fromMs, toMs - MAX_LISTED_MS);
    const { runs } = whatRan(db, { fromMs, nowMs: now(), rule: config.field });
    const passedDays: { siteDay: string; hadPlan: boolean }[] = [];
    const today = clock.siteDayOf(toMs);
    for (let day = clock.siteDayOf(fromMs); day < today; day = clock.addDays(day, 1)) {
      passedDays.push({ siteDay: day, hadPlan: hasMorningPlan(db, day) });
    }
    const report = absenceReport(absence, { runs, passedDays });
    if (report === null) return null;
    const text = sayAbsence(absence, report, alertReader(config));
    const isNew = inTransaction(db, () => {
      const key = `away ${absence.fromMs} ${toMs}`;
      const news = { key, atMs: now(), kind: 'away', text, siteDay: today } as const;
      if (!addAlert(db, news)) return false;
      addAuditEntry(db, { atMs: now(), kind: 'away', who: DAEMON, siteDay: today, what: text });
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

/** Of one list no more than this many runs are named. */
const MAX_NAMED_RUNS = 12;

/** An absence and what was missed in it, in plain sentences. Pure. */
function sayAbsence(absence: Absence, report: AbsenceReport, reader: Reader): string {
  const { fromMs, toMs, kind } = absence;
  const { clock } = reader;
  const say = sayTo(reader);
  const at = (instantMs: number) =>
    clock.siteDayOf(fromMs) === clock.siteDayOf(toMs)
      ? clock.timeOf(instantMs)
      : `${clock.siteDayOf(instantMs)} ${clock.timeOf(instantMs)}`;
  const told = (states: readonly RunState[]) => ({
    runs: states.length,
    named: states
      .slice(0, MAX_NAMED_RUNS)
      .map(({ run }) => `${at(run.startMs)} ${run.bedId} ${run.stationId}`)
      .join(', '),
    more: Math.max(0, states.length - MAX_NAMED_RUNS),
  });
  const { missed, unknown, ran, daysWithoutPlan } = report;
  const isNothing = missed.length + unknown.length + ran.length + daysWithoutPlan.length === 0;
  return [
    say(`absence.${kind}`, { from: at(fromMs), to: at(toMs) }),
    ...(missed.length > 0 ? [say('absence.missed', told(missed))] : []),
    ...(unknown.length > 0 ? [say('absence.unknown', told(unknown))] : []),
    ...(ran.length > 0 ? [say('absence.ran', { runs: ran.length })] : []),
    ...(daysWithoutPlan.length > 0
      ? [say('absence.no_plan', { days: daysWithoutPlan.join(', ') })]
      : []),
    ...(isNothing ? [say('absence.nothing_missed')] : []),
  ].join(' ');
}
