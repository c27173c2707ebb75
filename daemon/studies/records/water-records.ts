import type { Site, Station } from '../../../calc/schedule/site.ts';
import type { Reconciled } from '../../delivery/reconcile.ts';
import type { Correction, StoredHandWater } from '../../site/store/hand-records.ts';
import type { FieldRule, RunState, RunStateName } from '../../site/store/run-state.ts';

/**
 * How it is known that water ran. `reported`: a receiver said so. `assumed`: nothing reports runs,
 * or nobody can say, and it counts as planned. `corrected`: a person put it right. `none`: it did
 * not run, or not yet.
 */
type Basis = 'reported' | 'assumed' | 'corrected' | 'none';

/** One run as the records keep it: what was asked, what was done about it, what counts as water. */
export interface RunRecord {
  bedId: string;
  stationId: string;
  startMs: number;
  /** Number of the bed's cycle in the plan; null: no plan had it. */
  cycle: number | null;
  /** Seconds that a person confirmed; 0: nobody had asked for it. */
  confirmedS: number;
  state: RunStateName | 'unasked';
  isSent: boolean;
  isAccepted: boolean;
  /** From the receiver's report; null: none. */
  reportedS: number | null;
  reportedFlowLPerMin: number | null;
  /** The correction that counts, with what stood before it; null: none. */
  corrected: { correctionId: number; beforeS: number } | null;
  basis: Basis;
  /** What counts as water. */
  countedS: number;
  volumeL: number;
  /** Depth over what the station waters. */
  grossMm: number;
  netMm: number;
  /** Part of the net depth that the plan expected to drain. */
  drainedMm: number;
}

/** What a plan expected of a run's cycle beside its own depth. */
interface PlannedShare {
  /** Part of the net depth that drains, 0 to 1. */
  drainedFraction: number;
}

const ASSUMED: ReadonlySet<string> = new Set(['planned', 'sent', 'accepted', 'assumed', 'unknown']);

/**
 * Every run with what counts of it, in order of time. What counts follows the planner's own rule
 * (`countedRuns`): a report by its seconds, what nothing reports as planned, and what is missing,
 * withdrawn, missed or rejected not at all. A correction goes before all of it. Pure.
 */
export function runRecords(
  { runs, strays }: Reconciled,
  given: {
    site: Site;
    corrections: readonly Correction[];
    rule: Pick<FieldRule, 'lateMs' | 'flowOffFraction'>;
    nowMs: number;
    shareOf(run: RunState): PlannedShare;
    /** Part of the depth lost in flight where no plan says, 0 to 1. */
    driftOf(bedId: string, startMs: number): number;
  },
): RunRecord[] {
  const { site, rule, nowMs, driftOf } = given;
  const stationOf = new Map(site.stations.map((station) => [station.id, station]));
  const own = given.corrections.filter(({ what }) => what === 'ran');
  const records = [
    ...runs.map((one) => ofPlan(one, stationOf.get(one.run.stationId), given)),
    ...strays.map((stray): RunRecord => {
      const station = stationOf.get(stray.stationId);
      return {
        ...extra({ ...stray, station, driftOf }),
        state: 'unasked',
        reportedS: stray.runS,
        reportedFlowLPerMin: stray.flowLPerMin,
        basis: 'reported',
      };
    }),
  ];
  for (const correction of own) {
    const near = records
      .filter(({ stationId }) => stationId === correction.subject)
      .map((record) => ({ record, apartMs: Math.abs(record.startMs - correction.startMs) }))
      .filter(({ apartMs }) => apartMs <= rule.lateMs)
      .toSorted((a, b) => a.apartMs - b.apartMs)[0]?.record;
    if (near !== undefined) {
      correct(near, correction, { station: stationOf.get(near.stationId), driftOf });
      continue;
    }
    const station = stationOf.get(correction.subject);
    const { startMs } = correction;
    records.push({
      ...extra({
        stationId: correction.subject,
        startMs,
        runS: correction.correct,
        station,
        driftOf,
      }),
      state: 'unasked',
      basis: 'corrected',
      corrected: { correctionId: correction.correctionId, beforeS: 0 },
    });
  }
  return records
    .filter(({ startMs }) => startMs < nowMs)
    .toSorted((a, b) => a.startMs - b.startMs || (a.stationId < b.stationId ? -1 : 1));
}

function ofPlan(
  one: RunState,
  station: Station | undefined,
  given: {
    rule: Pick<FieldRule, 'flowOffFraction'>;
    shareOf(run: RunState): PlannedShare;
  },
): RunRecord {
  const { run, state, actual, outputs } = one;
  const nominal = station?.flowLPerMin ?? 0;
  const flow = actual?.flowLPerMin ?? null;
  const flowPart = flow === null || nominal <= 0 ? 1 : flow / nominal;
  const weak = flowPart < 1 - given.rule.flowOffFraction ? flowPart : 1;
  const counts = actual !== null || ASSUMED.has(state);
  const countedS = actual?.runS ?? (counts ? run.runS : 0);
  const part = run.runS > 0 ? (countedS / run.runS) * weak : 0;
  const netMm = run.netMm * part;
  return {
    bedId: run.bedId,
    stationId: run.stationId,
    startMs: run.startMs,
    cycle: run.cycle,
    confirmedS: run.runS,
    state,
    isSent: outputs.some((output) => output.state === 'sent' || output.state === 'accepted'),
    isAccepted: outputs.some((output) => output.state === 'accepted'),
    reportedS: actual?.runS ?? null,
    reportedFlowLPerMin: flow,
    corrected: null,
    basis: actual !== null ? 'reported' : counts ? 'assumed' : 'none',
    countedS,
    volumeL: (nominal * weak * countedS) / 60,
    grossMm: run.grossMm * part,
    netMm,
    drainedMm: netMm * given.shareOf(one).drainedFraction,
  };
}

/** Water that no plan had: its depth is worked out from the station's rate. */
function extra(asked: {
  stationId: string;
  startMs: number;
  runS: number;
  station: Station | undefined;
  driftOf(bedId: string, startMs: number): number;
}): RunRecord {
  const { stationId, startMs, runS, station } = asked;
  const bedId = station?.bedId ?? '';
  const grossMm = ((station?.precipitationRateMmPerH ?? 0) * runS) / 3600;
  return {
    bedId,
    stationId,
    startMs,
    cycle: null,
    confirmedS: 0,
    state: 'unasked',
    isSent: false,
    isAccepted: false,
    reportedS: null,
    reportedFlowLPerMin: null,
    corrected: null,
    basis: 'none',
    countedS: runS,
    volumeL: ((station?.flowLPerMin ?? 0) * runS) / 60,
    grossMm,
    netMm: grossMm * (1 - asked.driftOf(bedId, startMs)),
    drainedMm: 0,
  };
}

/** Puts a record right in place; what stood before the first correction stays told. */
function correct(
  record: RunRecord,
  correction: Correction,
  given: {
    station: Station | undefined;
    driftOf(bedId: string, startMs: number): number;
  },
): void {
  const { countedS, confirmedS } = record;
  const rightS = correction.correct;
  const fresh = extra({ ...record, runS: rightS, ...given });
  // What counted before gives the depth of a second; a run that counted nothing has only its rate.
  const scale = countedS > 0 ? rightS / countedS : null;
  record.corrected = {
    correctionId: correction.correctionId,
    beforeS: record.corrected?.beforeS ?? countedS,
  };
  record.basis = 'corrected';
  record.countedS = rightS;
  record.volumeL = scale === null ? fresh.volumeL : record.volumeL * scale;
  record.grossMm = scale === null ? fresh.grossMm : record.grossMm * scale;
  record.netMm = scale === null ? fresh.netMm : record.netMm * scale;
  record.drainedMm =
    scale === null || confirmedS === 0 ? record.drainedMm : record.drainedMm * scale;
}

/** Water that a person gave and logged, as it counts. */
export interface HandRecord {
  bedId: string;
  /** The station that was run; null: a hose. */
  stationId: string | null;
  startMs: number;
  who: string;
  /** When it was logged. */
  atMs: number;
  runS: number;
  /** Mean over the bed. */
  bedMm: number;
  /** A station's by its flow; a hose's by its depth over the bed, which is an estimate. */
  volumeL: number;
  corrected: { correctionId: number; beforeMm: number } | null;
}

/** Logged water, corrections worked in, in order of time. Pure. */
export function handRecords(
  given: readonly StoredHandWater[],
  { site, corrections }: { site: Site; corrections: readonly Correction[] },
): HandRecord[] {
  return given
    .map((row): HandRecord => {
      const plain = counted(row, site);
      const subject = row.stationId ?? row.bedId;
      const right = corrections.findLast(
        (one) => one.what === 'water' && one.subject === subject && one.startMs === row.startMs,
      );
      if (right === undefined) return plain;
      const put =
        row.stationId === null
          ? { ...row, grossMm: right.correct }
          : {
              ...row,
              runS: right.correct,
              grossMm: row.runS > 0 ? (row.grossMm * right.correct) / row.runS : 0,
            };
      const corrected = { correctionId: right.correctionId, beforeMm: plain.bedMm };
      return { ...counted(put, site), corrected };
    })
    .toSorted((a, b) => a.startMs - b.startMs);
}

function counted(row: StoredHandWater, site: Site): HandRecord {
  const { bedId, stationId, startMs, who, atMs, runS, grossMm } = row;
  const stations = site.stations.filter((station) => station.bedId === bedId);
  const flowLPerMin = stations.find((one) => one.id === stationId)?.flowLPerMin ?? 0;
  const areaM2 = site.beds.find((bed) => bed.id === bedId)?.areaM2 ?? 0;
  return {
    bedId,
    stationId,
    startMs,
    who,
    atMs,
    runS,
    bedMm: stationId === null ? grossMm : grossMm / Math.max(1, stations.length),
    // 1 mm on 1 m² is 1 L.
    volumeL: stationId === null ? grossMm * areaM2 : (flowLPerMin * runS) / 60,
    corrected: null,
  };
}
