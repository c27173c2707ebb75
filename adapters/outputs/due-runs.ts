/** A run as the clock of a run-by-run output sees it. */
export interface TimedRun {
  /** The same over every revision, order and restart: a station opens once at one instant. */
  runId: string;
  bedId: string;
  stationId: string;
  startMs: number;
  endMs: number;
}

/** A station that was told to open. */
export interface OpenStation {
  stationId: string;
  bedId: string;
  runId: string;
  /** When its own message shuts it. */
  untilMs: number;
}

export interface DueRuns {
  /** To be sent now, in order of time. */
  send: TimedRun[];
  /** Never to be sent, with why. */
  missed: { run: TimedRun; why: string }[];
  /** Start of the next run that is not due yet; null when there is none. */
  nextMs: number | null;
}

/**
 * Decides which runs are sent now and which were missed. Pure.
 *
 * Nothing is early, nothing is later than the tolerance, nothing is sent that was sent or missed
 * before, no station is opened that is still open, and no more are open at once than allowed: what
 * finds no room waits within the tolerance and is missed after it. So however long a clock or a
 * daemon stood still, there is no burst.
 *
 * @param closed Ids that were sent or missed before, in this life or an earlier one.
 * @param notBeforeMs Starts before this were jumped over by the clock: missed, tolerance or not.
 */
export function dueRuns(given: {
  standing: readonly TimedRun[];
  closed: { has(runId: string): boolean };
  open: readonly OpenStation[];
  nowMs: number;
  notBeforeMs: number;
  toleranceMs: number;
  mostAtOnce: number;
}): DueRuns {
  const { standing, closed, nowMs, toleranceMs } = given;
  const openNow = new Set(
    given.open.filter(({ untilMs }) => untilMs > nowMs).map(({ stationId }) => stationId),
  );
  const due: DueRuns = { send: [], missed: [], nextMs: null };
  const seen = new Set<string>();
  for (const run of standing.toSorted(inTimeOrder)) {
    if (seen.has(run.runId)) continue;
    seen.add(run.runId);
    if (run.startMs > nowMs) {
      // A run that comes again after the clock was set back is no reason to wake.
      if (closed.has(run.runId)) continue;
      due.nextMs = run.startMs;
      break;
    }
    if (closed.has(run.runId)) continue;
    const lateMs = nowMs - run.startMs;
    if (run.startMs < given.notBeforeMs) {
      due.missed.push({ run, why: 'the clock jumped over its start' });
    } else if (lateMs > toleranceMs || run.endMs <= nowMs) {
      due.missed.push({ run, why: `it would start ${Math.round(lateMs / 1000)} s late` });
    } else if (!openNow.has(run.stationId) && openNow.size < given.mostAtOnce) {
      openNow.add(run.stationId);
      due.send.push(run);
    }
  }
  return due;
}

function inTimeOrder(a: TimedRun, b: TimedRun): number {
  if (a.startMs !== b.startMs) return a.startMs - b.startMs;
  if (a.runId === b.runId) return 0;
  return a.runId < b.runId ? -1 : 1;
}
