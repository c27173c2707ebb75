import type { RunState } from '../site/store/run-state.ts';

/** Where two clocks stood when the daemon last looked. */
export interface ClockLook {
  /** The wall clock, epoch ms. */
  wallMs: number;
  /** A clock that nobody sets and that stands still while the machine sleeps; null: another life. */
  steadyMs: number | null;
}

/** A time in which the daemon did not look, or that the wall clock went over or through twice. */
export interface Absence {
  kind: 'not_running' | 'asleep_or_set_forward' | 'set_back' | 'busy';
  /** The last look before it and the first after it, by the wall clock; `fromMs` > `toMs` when set back. */
  fromMs: number;
  toMs: number;
}

/** Two looks are a minute apart: this much more is an absence. */
const LEAST_MS = 90_000;
/** The two clocks may drift by so much from one look to the next. */
const DRIFT_MS = 30_000;

/**
 * What lies between two looks, or null when nothing does. A clock change of the summer moves no
 * instant, so it is none. Pure.
 *
 * @param last Null at the very first start.
 */
export function absenceBetween(last: ClockLook | null, now: ClockLook): Absence | null {
  if (last === null) return null;
  const wallMs = now.wallMs - last.wallMs;
  const about = { fromMs: last.wallMs, toMs: now.wallMs };
  if (last.steadyMs === null || now.steadyMs === null) {
    if (wallMs < -DRIFT_MS) return { ...about, kind: 'set_back' };
    return wallMs > LEAST_MS ? { ...about, kind: 'not_running' } : null;
  }
  const jumpMs = wallMs - (now.steadyMs - last.steadyMs);
  if (jumpMs < -DRIFT_MS) return { ...about, kind: 'set_back' };
  if (wallMs <= LEAST_MS) return null;
  return { ...about, kind: jumpMs > DRIFT_MS ? 'asleep_or_set_forward' : 'busy' };
}

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
