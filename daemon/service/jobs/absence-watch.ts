import type { SiteClock } from '../../../adapters/site-clock.ts';
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
    const text = sayAbsence(absence, report, clock);
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

const KIND: Readonly<Record<Absence['kind'], string>> = {
  not_running: 'The daemon did not run',
  asleep_or_set_forward: 'The machine slept or its clock was set forward',
  set_back: 'The clock was set back',
  busy: 'The daemon was held up',
};

/** Of one list no more than this many runs are named. */
const MAX_NAMED_RUNS = 12;

/** An absence and what was missed in it, in plain sentences. Pure. */
function sayAbsence(
  absence: Absence,
  report: AbsenceReport,
  clock: Pick<SiteClock, 'timeOf' | 'siteDayOf'>,
): string {
  const { fromMs, toMs, kind } = absence;
  const at = (instantMs: number) =>
    clock.siteDayOf(fromMs) === clock.siteDayOf(toMs)
      ? clock.timeOf(instantMs)
      : `${clock.siteDayOf(instantMs)} ${clock.timeOf(instantMs)}`;
  const named = (states: readonly RunState[]) => {
    const names = states
      .slice(0, MAX_NAMED_RUNS)
      .map(({ run }) => `${at(run.startMs)} ${run.bedId} ${run.stationId}`);
    const more =
      states.length > MAX_NAMED_RUNS ? `, and ${states.length - MAX_NAMED_RUNS} more` : '';
    return `${names.join(', ')}${more}`;
  };
  const counted = (states: readonly RunState[]) =>
    states.length === 1 ? '1 run' : `${states.length} runs`;
  const { missed, unknown, ran, daysWithoutPlan } = report;
  return [
    `${KIND[kind]} from ${at(fromMs)} to ${at(toMs)}.`,
    ...(missed.length > 0
      ? [`Missed, and not made up for: ${counted(missed)} (${named(missed)}).`]
      : []),
    ...(unknown.length > 0
      ? [
          `Nobody here can say whether they ran: ${counted(unknown)} (${named(unknown)}); look at the turf.`,
        ]
      : []),
    ...(ran.length > 0 ? [`Reported as run: ${counted(ran)}.`] : []),
    ...(daysWithoutPlan.length > 0 ? [`No morning plan for ${daysWithoutPlan.join(', ')}.`] : []),
    ...(missed.length + unknown.length + ran.length + daysWithoutPlan.length === 0
      ? ['Nothing was missed.']
      : []),
  ].join(' ');
}
