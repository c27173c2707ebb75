import type { Correction, MeterReading } from '../../site/store/hand-records.ts';
import type { Estimate } from '../../words/estimate-words.ts';
import type { HandRecord, RunRecord } from './water-records.ts';

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

/** Why a sum of water is an estimate; nothing: every run was reported or put right. */
export function waterEstimate({ assumedRuns, runs }: WaterSums): Estimate[] {
  return assumedRuns === 0 ? [] : [{ code: 'runs_assumed', assumed: assumedRuns, runs }];
}

/** What a difference between the meter and the records may mean. */
export type MeterMeaning =
  | { code: 'fell' | 'nothing' | 'unrecorded' | 'more' | 'less' }
  | { code: 'agrees'; within: number }
  /** Percent of the sprinklers' volume that is assumed. */
  | { code: 'less_assumed'; pct: number };

/** Two readings of the meter, and the water that the records have between them. */
export interface MeterSpan {
  fromMs: number;
  toMs: number;
  /** Readings as they count, corrections worked in. */
  fromL: number;
  toL: number;
  isCorrected: boolean;
  meterL: number;
  /** Computed: sprinklers, then by hand. */
  sprinklersL: number;
  handL: number;
  /** Of the sprinklers' volume, what is assumed to have run. */
  assumedL: number;
  /** Meter against computed, percent of computed; null where nothing was computed or the meter fell. */
  differencePct: number | null;
  meaning: MeterMeaning;
}

/** Within this the meter and the sum agree: flows and meters are hardly known better. */
const AGREES_WITHIN_PCT = 5;

/** Each two readings that follow each other, held against what the records have between. Pure. */
export function meterSpans(
  readings: readonly MeterReading[],
  given: {
    runs: readonly RunRecord[];
    hand: readonly HandRecord[];
    corrections: readonly Correction[];
  },
): MeterSpan[] {
  const right = readings.map((reading) => {
    const correction = given.corrections.findLast(
      ({ what, startMs }) => what === 'meter' && startMs === reading.readMs,
    );
    return {
      ...reading,
      volumeL: correction?.correct ?? reading.volumeL,
      isCorrected: correction !== undefined,
    };
  });
  return right.slice(1).flatMap((to, index) => {
    const from = right[index];
    if (from === undefined || from.readMs === to.readMs) return [];
    const within = <T extends { startMs: number; volumeL: number }>(
      rows: readonly T[],
      lengthS: (row: T) => number,
    ) =>
      rows.reduce(
        (sum, row) =>
          sum + row.volumeL * overlap(row.startMs, lengthS(row), from.readMs, to.readMs),
        0,
      );
    const sprinklersL = within(given.runs, (run) => run.countedS);
    const assumedL = within(
      given.runs.filter((run) => run.basis === 'assumed'),
      (run) => run.countedS,
    );
    const handL = within(given.hand, (one) => one.runS);
    const meterL = to.volumeL - from.volumeL;
    const computedL = sprinklersL + handL;
    const differencePct =
      meterL < 0 || computedL <= 0 ? null : (100 * (meterL - computedL)) / computedL;
    const span = { meterL, sprinklersL, handL, assumedL, differencePct };
    return [
      {
        fromMs: from.readMs,
        toMs: to.readMs,
        fromL: from.volumeL,
        toL: to.volumeL,
        isCorrected: from.isCorrected || to.isCorrected,
        ...span,
        meaning: meterMeaning(span),
      },
    ];
  });
}

/** The part of a run that lies between two instants, 0 to 1. */
function overlap(startMs: number, lengthS: number, fromMs: number, toMs: number): number {
  const endMs = startMs + lengthS * 1000;
  const insideMs = Math.min(endMs, toMs) - Math.max(startMs, fromMs);
  return lengthS <= 0 ? 0 : Math.min(1, Math.max(0, insideMs / (lengthS * 1000)));
}

function meterMeaning({
  meterL,
  differencePct,
  assumedL,
  sprinklersL,
}: Pick<MeterSpan, 'meterL' | 'sprinklersL' | 'assumedL' | 'differencePct'>): MeterMeaning {
  if (meterL < 0) return { code: 'fell' };
  if (differencePct === null) return { code: meterL === 0 ? 'nothing' : 'unrecorded' };
  if (Math.abs(differencePct) <= AGREES_WITHIN_PCT) {
    return { code: 'agrees', within: AGREES_WITHIN_PCT };
  }
  if (differencePct > 0) return { code: 'more' };
  return assumedL > 0 && sprinklersL > 0
    ? { code: 'less_assumed', pct: Math.round((100 * assumedL) / sprinklersL) }
    : { code: 'less' };
}
