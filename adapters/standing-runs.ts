import type { Run } from '../calc/schedule/run.ts';
import type { Confirmation, ConfirmedPlan } from './contract.ts';

/** Of a confirm only its instant counts here. */
interface When {
  readonly confirmation: Pick<Confirmation, 'atMs'>;
}

/**
 * The runs of a confirmed plan that may start, in order of time: without the held beds, and without
 * the cycles that had begun before the confirm. Such a cycle goes as a whole, also where its later
 * stations were still to come: half a cycle was never shown to anyone.
 */
export function standingRuns(confirmed: Pick<ConfirmedPlan, 'plan' | 'heldBedIds'> & When): Run[] {
  const held = new Set(confirmed.heldBedIds);
  const missed = new Set(missedRuns(confirmed));
  return inTimeOrder(confirmed.plan.runs.filter((run) => !held.has(run.bedId) && !missed.has(run)));
}

/** The runs of the cycles that had begun before the confirm, in order of time: never made up for. */
export function missedRuns(confirmed: Pick<ConfirmedPlan, 'plan'> & When): Run[] {
  const beginsMs = new Map<string, number>();
  for (const run of confirmed.plan.runs) {
    const begunMs = beginsMs.get(cycleKey(run)) ?? Number.POSITIVE_INFINITY;
    beginsMs.set(cycleKey(run), Math.min(begunMs, run.startMs));
  }
  const confirmedMs = confirmed.confirmation.atMs;
  return inTimeOrder(
    confirmed.plan.runs.filter((run) => (beginsMs.get(cycleKey(run)) ?? 0) < confirmedMs),
  );
}

function cycleKey(run: Run): string {
  return JSON.stringify([run.bedId, run.cycle]);
}

function inTimeOrder(runs: Run[]): Run[] {
  return runs.toSorted(
    (a, b) =>
      a.startMs - b.startMs || compare(a.bedId, b.bedId) || compare(a.stationId, b.stationId),
  );
}

function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
