import type { RoundRecord } from './recorded-round.ts';

/** A round that takes longer than this hangs: planning with a sand that is new takes a minute. */
const LONGEST_ROUND_MS = 5 * 60_000;
/** A job that has not been woken for this long beyond its interval is forgotten by the clock. */
const LATE_MS = 2 * 60_000;

/**
 * What is wrong with the daemon's own clockwork: a job that hangs, or is no longer woken. Pure.
 *
 * A round that fails is none of that: weather that is away or a full disk is not mended by
 * starting the process again, and would only take the page and the holds away.
 */
export function unhealthyRounds(
  records: readonly RoundRecord[],
  { nowMs, startedMs }: { nowMs: number; startedMs: number },
): string[] {
  return records.flatMap(({ name, every, runningSinceMs, lastEndedMs }) => {
    if (runningSinceMs !== null) {
      const tookMs = nowMs - runningSinceMs;
      return tookMs > LONGEST_ROUND_MS ? [`${name}: hangs for ${seconds(tookMs)}`] : [];
    }
    const everyMs = every === 'minute' ? 60_000 : every.ms;
    const idleMs = nowMs - (lastEndedMs ?? startedMs);
    return idleMs > everyMs + LATE_MS ? [`${name}: not woken for ${seconds(idleMs)}`] : [];
  });
}

function seconds(durationMs: number): string {
  return `${Math.round(durationMs / 1000)} s`;
}
