import type { Correction, MeterReading } from '../../site/store/hand-records.ts';
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

/** Why a sum of water is an estimate; null: every run was reported or put right. */
export function waterEstimate(sums: WaterSums): string | null {
  if (sums.assumedRuns === 0) return null;
  return `${sums.assumedRuns} of ${sums.runs} runs assumed`;
}

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
  words: string;
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
        words: meterWords(span),
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

/** What a difference may mean, in plain words. */
function meterWords(
  span: Pick<MeterSpan, 'meterL' | 'sprinklersL' | 'handL' | 'assumedL' | 'differencePct'>,
): string {
  const { meterL, differencePct, assumedL, sprinklersL } = span;
  if (meterL < 0) {
    return 'The meter stands lower than before: it was changed, has gone round, or a reading is wrong. Correct the reading.';
  }
  if (differencePct === null) {
    return meterL === 0
      ? 'No water by the meter, and none in the records.'
      : 'The meter counted water and the records have none: a station ran unasked, a pipe leaks, or something else draws from it.';
  }
  if (Math.abs(differencePct) <= AGREES_WITHIN_PCT) {
    return `Agrees within ${AGREES_WITHIN_PCT} %.`;
  }
  if (differencePct > 0) {
    return 'More through the meter than the records have. Look for: a leak; a station that ran longer or unasked; worn or larger nozzles than the config has; a hose that nobody logged; something else behind the same meter.';
  }
  const assumed =
    assumedL > 0 && sprinklersL > 0
      ? `runs that were assumed and did not come (${Math.round((100 * assumedL) / sprinklersL)} % of the volume is assumed); `
      : '';
  return `Less through the meter than the records have. Look for: ${assumed}stations that did not open; clogged nozzles or low pressure; flows in the config that are too high; water by hand from another source.`;
}
