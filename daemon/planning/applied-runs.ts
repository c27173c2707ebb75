import { handWaterRuns } from '../../calc/schedule/hand-water.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { Reconciled } from '../field/reconcile.ts';
import type { FieldRule, RunState } from '../field/run-state.ts';
import { whatRan } from '../field/run-states.ts';
import type { Db } from '../store/database.ts';

/** Runs that count as water between an instant and now. */
export function runsSince(
  db: Db,
  asked: {
    fromMs: number;
    nowMs: number;
    site: Site;
    rule: FieldRule;
    /** The part lost in flight at an instant; left out where only litres are asked for. */
    driftAt?: (instantMs: number) => number;
  },
): Run[] {
  const { fromMs, nowMs, site, rule, driftAt = () => 0 } = asked;
  return countedRuns(whatRan(db, { fromMs, nowMs, rule }), { fromMs, nowMs, site, rule, driftAt });
}

/**
 * What of the runs counts as water. A reported run counts by its seconds, and by its flow where that
 * is below what may be; one that is missing, was taken out or never got there counts nothing; one
 * that nothing reports counts as planned. So does one of which nobody knows whether it got there:
 * the error then is a dry bed that people see, and not one cycle on top of another. Water that
 * nobody asked for counts too. Pure.
 */
export function countedRuns(
  { runs, strays }: Reconciled,
  given: {
    fromMs: number;
    nowMs: number;
    site: Site;
    rule: Pick<FieldRule, 'flowOffFraction'>;
    driftAt(instantMs: number): number;
  },
): Run[] {
  const { fromMs, nowMs, site, rule, driftAt } = given;
  const unasked = strays.flatMap(({ stationId, startMs, runS }) => {
    const station = site.stations.find((one) => one.id === stationId);
    if (station === undefined) return [];
    const grossMm = (station.precipitationRateMmPerH * runS) / 3600;
    return [{ bedId: station.bedId, stationId, startMs, runS, grossMm }];
  });
  const counted = [
    ...runs.flatMap((one) => countedRun(one, site, rule)),
    ...handWaterRuns({ given: unasked, site, driftAt }),
  ];
  // One that runs over the beginning counts: its balance takes only what falls after it.
  return counted.filter(
    (run) => run.runS > 0 && run.startMs + run.runS * 1000 > fromMs && run.startMs < nowMs,
  );
}

const COUNT_AS_PLANNED: ReadonlySet<string> = new Set([
  'planned',
  'sent',
  'accepted',
  'assumed',
  'unknown',
]);

function countedRun(
  { run, state, actual }: RunState,
  site: Site,
  { flowOffFraction }: Pick<FieldRule, 'flowOffFraction'>,
): Run[] {
  if (actual === null) return COUNT_AS_PLANNED.has(state) ? [run] : [];
  const nominal = site.stations.find((one) => one.id === run.stationId)?.flowLPerMin ?? 0;
  const flowPart = actual.flowLPerMin === null || nominal <= 0 ? 1 : actual.flowLPerMin / nominal;
  const part = (actual.runS / run.runS) * (flowPart < 1 - flowOffFraction ? flowPart : 1);
  // It keeps its planned start: by that the plans know it again.
  return [{ ...run, runS: actual.runS, grossMm: run.grossMm * part, netMm: run.netMm * part }];
}

/**
 * The start of the first run of which something was learned only after a plan was made: a report
 * that came later, or one that by then was overdue. Null when there is none. Pure.
 */
export function firstLearnedSince(
  { runs, strays }: Reconciled,
  madeAtMs: number,
  { lateMs }: Pick<FieldRule, 'lateMs'>,
): number | null {
  const learned = [
    ...runs
      .filter(({ run, state, actual }) => {
        if (actual !== null) return actual.atMs > madeAtMs;
        return state === 'missing' && run.startMs + run.runS * 1000 + lateMs > madeAtMs;
      })
      .map(({ run }) => run.startMs),
    ...strays.filter((stray) => stray.atMs > madeAtMs).map((stray) => stray.startMs),
  ];
  return learned.length === 0 ? null : learned.reduce((a, b) => Math.min(a, b));
}
