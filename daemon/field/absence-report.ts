import type { Absence } from '../time/absence.ts';
import type { RunState } from './run-state.ts';

/** What an absence has left behind. */
export interface AbsenceReport {
  /** Runs that were never sent before their time: they did not run and are not made up for. */
  missed: RunState[];
  /** Runs that were with a receiver, or may have been, and that nothing reports. */
  unknown: RunState[];
  /** Runs that a receiver reports. */
  ran: RunState[];
  /** Site days without a morning plan. */
  daysWithoutPlan: string[];
  /** Whether a fresh plan is worth a person's time. */
  catchUp: boolean;
}

const MAY_HAVE_RUN: ReadonlySet<string> = new Set(['sent', 'accepted', 'assumed', 'unknown']);

/** Absences shorter than this are told only when they cost something. */
const WORTH_TELLING_MS = 5 * 60_000;

/**
 * What was missed in an absence, or null when it is not worth a word. Nothing is guessed: a receiver
 * that has the plan runs it without us. Pure.
 *
 * @param given.runs Runs of the time, with their states.
 * @param given.passedDays Site days that ended within it, and whether each had its morning plan.
 */
export function absenceReport(
  absence: Absence,
  given: {
    runs: readonly RunState[];
    passedDays: readonly { siteDay: string; hadPlan: boolean }[];
  },
): AbsenceReport | null {
  const { fromMs, toMs, kind } = absence;
  const within = given.runs.filter(({ run }) => run.startMs > fromMs && run.startMs <= toMs);
  const missed = within.filter(({ state }) => state === 'missed' || state === 'missing');
  const unknown = within.filter(({ state }) => MAY_HAVE_RUN.has(state));
  const ran = within.filter(({ state }) => state === 'ran');
  const daysWithoutPlan = given.passedDays
    .filter(({ hadPlan }) => !hadPlan)
    .map(({ siteDay }) => siteDay);
  const isShort = Math.abs(toMs - fromMs) < WORTH_TELLING_MS;
  // A receiver that has the plan does not notice a daemon that is away for a moment or busy.
  const inDoubt = unknown.length > 0 && !isShort && kind !== 'busy';
  const catchUp = missed.length > 0 || inDoubt;
  if (isShort && !catchUp && kind !== 'set_back') return null;
  return { missed, unknown, ran, daysWithoutPlan, catchUp };
}
