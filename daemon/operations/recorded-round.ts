import type { Job } from '../jobs/job.ts';
import { oneAtATime, type Round } from '../one-at-a-time.ts';

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
export interface RecordedRound {
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
