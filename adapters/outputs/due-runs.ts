import type { Run } from '../../calc/schedule/run.ts';
import type { ConfirmedPlan } from '../contract.ts';
import { standingRuns } from '../plan-document.ts';
import type { SiteClock } from '../site-clock.ts';
import type { Message } from './mqtt-messages.ts';

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

interface DueRuns {
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

/** Stands for every station in a message that shuts. */
export const EVERY_STATION = '*';

/** The runs of a confirmed plan that may start, each under its id. */
export function timedRuns(confirmed: ConfirmedPlan, clock: SiteClock): TimedRun[] {
  return standingRuns(confirmed).map((run) => ({
    runId: runIdOf(run, clock),
    bedId: run.bedId,
    stationId: run.stationId,
    startMs: run.startMs,
    endMs: run.startMs + run.runS * 1000,
  }));
}

function runIdOf({ stationId, startMs }: Run, clock: SiteClock): string {
  return `${stationId}@${clock.isoOf(startMs)}`;
}

/**
 * Opens one station. The message carries its own end, so a receiver shuts it also when nothing ever
 * comes again; sent late, it opens for less and ends as planned, so it never meets what comes next.
 */
export function openMessage(given: {
  topic: string;
  orderId: string;
  run: TimedRun;
  nowMs: number;
  toleranceMs: number;
  clock: SiteClock;
}): Message {
  const { topic, orderId, run, nowMs, clock } = given;
  const expiresMs = Math.min(run.startMs + given.toleranceMs, run.endMs);
  return jsonMessage(topic, (expiresMs - nowMs) / 1000, {
    format: 'dewbeat-run',
    format_version: 1,
    order_id: orderId,
    run_id: run.runId,
    station: run.stationId,
    seconds: secondsLeft(run, nowMs),
    start: clock.isoOf(run.startMs),
    ends: clock.isoOf(run.endMs),
    expires: clock.isoOf(expiresMs),
  });
}

/** Seconds that a run has left when it starts now: whole ones, as planned when it is on time. */
export function secondsLeft(run: TimedRun, nowMs: number): number {
  return Math.max(1, Math.round((run.endMs - Math.max(nowMs, run.startMs)) / 1000));
}

/** Shuts one station, or every one: zero seconds, and it never expires. */
export function shutMessage(given: {
  topic: string;
  orderId: string | null;
  runId: string | null;
  station: string;
  nowMs: number;
  clock: SiteClock;
}): Message {
  const at = given.clock.isoOf(given.nowMs);
  return jsonMessage(given.topic, null, {
    format: 'dewbeat-run',
    format_version: 1,
    order_id: given.orderId,
    run_id: given.runId,
    station: given.station,
    seconds: 0,
    start: at,
    ends: at,
    expires: null,
  });
}

function jsonMessage(topic: string, expiryS: number | null, value: object): Message {
  return {
    topic,
    text: JSON.stringify(value),
    retain: false,
    contentType: 'application/json',
    expiryS,
  };
}
