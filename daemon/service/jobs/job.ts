import type { Output } from '../../../adapters/contract.ts';
import type { DaemonParts } from '../daemon-parts.ts';

/** What a job works with: the parts of the daemon, and its open outputs. */
export interface JobParts extends DaemonParts {
  outputs: ReadonlyMap<string, Output>;
}

/**
 * Something that the daemon does again and again. A job decides nothing by the clock that wakes
 * it: what is owed follows from the store, the config and `now()`, so a late, doubled or lost wake
 * does no harm.
 */
export interface Job {
  /** In words for the log. */
  name: string;
  /** `minute`: woken by the daemon's minute, in UTC; otherwise this often. */
  every: 'minute' | { ms: number };
  /** Does what is owed now; may throw: it is logged, and the next wake tries again. */
  work(): Promise<void>;
}

/** How a job has fared: what the status, the metrics and the watchdog look at. */
export interface RoundRecord {
  name: string;
  every: Job['every'];
  /** When the round under way began; null between rounds. */
  runningSinceMs: number | null;
  lastEndedMs: number | null;
  /** How long the last round took. */
  tookMs: number | null;
  /** What the last round failed with; null when it went well. */
  fault: string | null;
  faultsInARow: number;
  rounds: number;
  faults: number;
}

/** A job's round, never overlapping itself, that keeps a record. */
interface RecordedRound {
  every: Job['every'];
  round: Round;
  record: RoundRecord;
}

/** Wraps a job so that its rounds are recorded, and its faults logged and survived. */
export function recordedRound(
  { name, every, work }: Job,
  { now, onFault }: { now(): number; onFault(error: unknown): void },
): RecordedRound {
  const record: RoundRecord = {
    name,
    every,
    runningSinceMs: null,
    lastEndedMs: null,
    tookMs: null,
    fault: null,
    faultsInARow: 0,
    rounds: 0,
    faults: 0,
  };
  const round = oneAtATime(async () => {
    const beganMs = now();
    record.runningSinceMs = beganMs;
    try {
      await work();
      record.fault = null;
      record.faultsInARow = 0;
    } catch (error) {
      record.fault = error instanceof Error ? error.message : String(error);
      record.faultsInARow++;
      record.faults++;
      throw error;
    } finally {
      record.runningSinceMs = null;
      record.lastEndedMs = now();
      record.tookMs = record.lastEndedMs - beganMs;
      record.rounds++;
    }
  }, onFault);
  return { every, round, record };
}

/** A round that takes longer than this hangs: planning with a sand that is new takes a minute. */
const MAX_ROUND_MS = 5 * 60_000;
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
      return tookMs > MAX_ROUND_MS ? [`${name}: hangs for ${seconds(tookMs)}`] : [];
    }
    const everyMs = every === 'minute' ? 60_000 : every.ms;
    const idleMs = nowMs - (lastEndedMs ?? startedMs);
    return idleMs > everyMs + LATE_MS ? [`${name}: not woken for ${seconds(idleMs)}`] : [];
  });
}

function seconds(durationMs: number): string {
  return `${Math.round(durationMs / 1000)} s`;
}

/** Work that never overlaps itself and never throws. */
interface Round {
  (): Promise<void>;
  /** Ends when no round is under way. */
  settled(): Promise<void>;
}

/** Wraps work so: a call while it is under way gives the one under way. */
export function oneAtATime(work: () => Promise<void>, onError: (error: unknown) => void): Round {
  let running: Promise<void> | null = null;
  const run = () => {
    running ??= work()
      .catch(onError)
      .finally(() => {
        running = null;
      });
    return running;
  };
  return Object.assign(run, { settled: async () => running ?? undefined });
}
