import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { PersonKeepOff } from '../store/keep-offs.ts';
import { personKeepOffStretches } from './standing-keep-offs.ts';

/** Runs that are still to end and stand in a keep-off of their bed, in the given order. Pure. */
export function keptOffRuns(
  runs: readonly Run[],
  keepOffs: readonly PersonKeepOff[],
  nowMs: number,
): Run[] {
  const stretches = personKeepOffStretches(keepOffs, {
    bedIds: [...new Set(runs.map((run) => run.bedId))],
    fromMs: nowMs,
    endMs: Number.POSITIVE_INFINITY,
  });
  return runs.filter((run) => {
    const endMs = run.startMs + run.runS * 1000;
    return (
      endMs > nowMs &&
      stretches.some(
        (one) => one.bedId === run.bedId && run.startMs < one.endMs && endMs > one.startMs,
      )
    );
  });
}

/** The runs that a plan itself has placed: without those that stood already when it was made. */
export function ownRuns({ beds, runs }: DayPlan): Run[] {
  const kept = new Set(
    beds.flatMap(({ bedId, cycles }) =>
      cycles
        .filter(({ reasons }) => reasons[0]?.code === 'kept')
        .map(({ cycle }) => `${bedId} ${cycle}`),
    ),
  );
  return runs.filter((run) => !kept.has(`${run.bedId} ${run.cycle}`));
}
