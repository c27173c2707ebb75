import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { PlanWarning, StandingKeepOff } from '../../../calc/schedule/plan-warning.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import type { KeepOff } from '../../../calc/schedule/site.ts';
import type { PersonKeepOff } from '../store/holds-and-keep-offs.ts';

/** When what a keep-off is for is over; infinite until a person ends it. */
function overMs({ endedMs, untilMs }: PersonKeepOff): number {
  return Math.min(endedMs ?? Number.POSITIVE_INFINITY, untilMs ?? Number.POSITIVE_INFINITY);
}

/** When water may run again: the label's interval after it is over, if there is one. */
export function dryUntilMs(keepOff: PersonKeepOff): number {
  const { labelIntervalS, takenBackMs } = keepOff;
  return Math.min(takenBackMs ?? Number.POSITIVE_INFINITY, overMs(keepOff) + labelIntervalS * 1000);
}

/** The keep-offs that still keep water off at an instant. */
export function standingAt(keepOffs: readonly PersonKeepOff[], nowMs: number): PersonKeepOff[] {
  return keepOffs.filter((one) => dryUntilMs(one) > nowMs);
}

/**
 * What persons' keep-offs do to a plan, bed by bed. One without an end lasts to the plan's end, and
 * the next plan has it again; a label's interval stands apart from what it follows. Pure.
 */
export function personKeepOffStretches(
  keepOffs: readonly PersonKeepOff[],
  asked: { bedIds: readonly string[]; fromMs: number; endMs: number },
): KeepOff[] {
  const { bedIds, fromMs, endMs } = asked;
  return standingAt(keepOffs, fromMs).flatMap((one) => {
    const dryMs = dryUntilMs(one);
    const endsMs = Math.min(overMs(one), dryMs);
    const stretches = [
      { startMs: one.atMs, endMs: Math.min(endsMs, endMs), why: one.why },
      { startMs: endsMs, endMs: Math.min(dryMs, endMs), why: '', kind: 'label_interval' as const },
    ];
    return stretches
      .filter((stretch) => stretch.endMs > Math.max(stretch.startMs, fromMs))
      .flatMap((stretch) =>
        bedIds
          .filter((bedId) => one.beds === 'all' || one.beds.includes(bedId))
          .map((bedId) => ({ bedId, ...stretch })),
      );
  });
}

/** What there is to tell of a keep-off. */
export function keepOffFacts(keepOff: PersonKeepOff): StandingKeepOff {
  const { keepOffId, atMs, who, why, beds, labelIntervalS } = keepOff;
  const known = (ms: number) => (Number.isFinite(ms) ? ms : null);
  const [overAtMs, dryMs] = [known(overMs(keepOff)), known(dryUntilMs(keepOff))];
  return { keepOffId, atMs, who, why, beds, labelIntervalS, overMs: overAtMs, dryUntilMs: dryMs };
}

/** Each standing keep-off as a warning of a plan, so that none is forgotten. */
export function keepOffNotes(standing: readonly PersonKeepOff[]): PlanWarning[] {
  return standing.map((one) => ({ code: 'keep_off', bedId: null, keepOff: keepOffFacts(one) }));
}

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
