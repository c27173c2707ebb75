import type { SiteClock } from '../../adapters/site-clock.ts';
import type { AbsenceReport } from '../field/absence-report.ts';
import type { RunState } from '../field/run-state.ts';
import type { Absence } from '../time/absence.ts';

const KIND: Readonly<Record<Absence['kind'], string>> = {
  not_running: 'The daemon did not run',
  asleep_or_set_forward: 'The machine slept or its clock was set forward',
  set_back: 'The clock was set back',
  busy: 'The daemon was held up',
};

/** Of one list no more than this many runs are named. */
const MOST_NAMED = 12;

/** An absence and what was missed in it, in plain sentences. Pure. */
export function sayAbsence(
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
      .slice(0, MOST_NAMED)
      .map(({ run }) => `${at(run.startMs)} ${run.bedId} ${run.stationId}`);
    const more = states.length > MOST_NAMED ? `, and ${states.length - MOST_NAMED} more` : '';
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
