import type { HandRecord } from './hand-record.ts';
import type { RunRecord } from './run-record.ts';

/** Sums over runs and water by hand: depths as the mean over a bed, volumes in all. */
export interface WaterSums {
  runs: number;
  confirmedS: number;
  sentS: number;
  acceptedS: number;
  reportedS: number;
  assumedS: number;
  correctedS: number;
  notRunS: number;
  countedS: number;
  grossMm: number;
  netMm: number;
  drainedMm: number;
  handMm: number;
  /** Of sprinklers alone, then of it what is assumed, then by hand. */
  volumeL: number;
  assumedL: number;
  handL: number;
  assumedRuns: number;
  correctedRuns: number;
}

/**
 * Sums over the runs and the water by hand of one bed, one station, or the site. Pure.
 * @param depthShareOf Part of the whole that a run's depth stands for: one station of a bed's two
 *   waters half of it. For a sum over several beds, shares weighted by area.
 */
export function waterSums(
  runs: readonly RunRecord[],
  hand: readonly HandRecord[],
  shares: { ofRun(run: RunRecord): number; ofHand(hand: HandRecord): number },
): WaterSums {
  const total = <T>(of: readonly T[], pick: (one: T) => number) =>
    of.reduce((sum, one) => sum + pick(one), 0);
  const seconds = (is: (run: RunRecord) => boolean) =>
    total(runs.filter(is), (run) => run.confirmedS);
  const counted = (basis: RunRecord['basis']) =>
    total(
      runs.filter((run) => run.basis === basis),
      (run) => run.countedS,
    );
  return {
    runs: runs.length,
    confirmedS: total(runs, (run) => run.confirmedS),
    sentS: seconds((run) => run.isSent),
    acceptedS: seconds((run) => run.isAccepted),
    reportedS: total(runs, (run) => run.reportedS ?? 0),
    assumedS: counted('assumed'),
    correctedS: counted('corrected'),
    notRunS: seconds((run) => run.countedS === 0),
    countedS: total(runs, (run) => run.countedS),
    grossMm: total(runs, (run) => run.grossMm * shares.ofRun(run)),
    netMm: total(runs, (run) => run.netMm * shares.ofRun(run)),
    drainedMm: total(runs, (run) => run.drainedMm * shares.ofRun(run)),
    handMm: total(hand, (one) => one.bedMm * shares.ofHand(one)),
    volumeL: total(runs, (run) => run.volumeL),
    assumedL: total(
      runs.filter((run) => run.basis === 'assumed'),
      (run) => run.volumeL,
    ),
    handL: total(hand, (one) => one.volumeL),
    assumedRuns: runs.filter((run) => run.basis === 'assumed').length,
    correctedRuns: runs.filter((run) => run.corrected !== null).length,
  };
}

/** Why a sum of water is an estimate; null: every run was reported or put right. */
export function waterEstimate(sums: WaterSums): string | null {
  if (sums.assumedRuns === 0) return null;
  return `${sums.assumedRuns} of ${sums.runs} runs assumed`;
}
