import type { Run } from '../../calc/schedule/run.ts';
import type { ConfirmedPlan } from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';
import { standingRuns } from '../standing-runs.ts';
import type { TimedRun } from './due-runs.ts';
import type { Message } from './mqtt-publish.ts';

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
