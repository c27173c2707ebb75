import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import { type RanBefore, waterOfRuns } from '../../calc/schedule/allowances.ts';
import type { GivenWater } from '../../calc/schedule/plan-change.ts';
import {
  type HandWater,
  handWaterRuns,
  type KeptCycle,
  type Run,
} from '../../calc/schedule/run.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { Reconciled } from '../delivery/reconcile.ts';
import { whatRan } from '../delivery/what-ran.ts';
import { grouped } from '../grouped.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import type { Db } from '../site/store/database.ts';
import { handWaterSince } from '../site/store/hand-records.ts';
import type { FieldRule, RunState } from '../site/store/run-state.ts';
import { parseSiteDay } from '../site/time/site-clock.ts';

/** Runs that count as water between an instant and now. */
export function appliedRunsSince(
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

/**
 * Water that counts against the allowances before a plan's own: runs as far as they are known or
 * assumed to have run, and what persons logged. Runs of kept cycles are left out, since the plan counts them.
 * Looks only as far back as an allowance asks for. Pure but for the reading.
 */
export function ranBefore(
  db: Db,
  asked: {
    site: Site;
    dayStartMs: number;
    seasonStartMs: number;
    nowMs: number;
    rule: FieldRule;
    kept: readonly KeptCycle[];
    /** Water by hand that a person is thinking of. */
    hypothetical?: readonly HandWater[];
  },
): RanBefore {
  const { site, dayStartMs, seasonStartMs, nowMs, rule, kept, hypothetical = [] } = asked;
  const fromMs = site.limits.seasonAllowanceL === null ? dayStartMs : seasonStartMs;
  const applied = appliedRunsSince(db, { fromMs, nowMs, site, rule });
  return waterBefore({
    site,
    dayStartMs,
    applied,
    byHand: [...handWaterSince(db, fromMs), ...hypothetical],
    kept,
  });
}

/** The sums over what ran, given by hand or by plan. Pure. */
export function waterBefore(asked: {
  site: Site;
  dayStartMs: number;
  applied: readonly Run[];
  byHand: readonly HandWater[];
  kept: readonly KeptCycle[];
}): RanBefore {
  const { site, dayStartMs, applied, byHand, kept } = asked;
  const keyOf = (run: Run) => `${run.stationId} ${run.startMs}`;
  const counted = new Set(kept.flatMap((cycle) => cycle.runs.map(keyOf)));
  const ran = applied.filter((run) => !counted.has(keyOf(run)));
  const since = (fromMs: number) =>
    waterOfRuns(
      site,
      ran.filter((run) => run.startMs >= fromMs),
    ) +
    byHand
      .filter((one) => one.startMs >= fromMs)
      .reduce((sum, one) => sum + handWaterL(site, one), 0);
  const ends = ran.map((run) => run.startMs + run.runS * 1000);
  const bedEndsMs = new Map<string, number>();
  for (const { bedId, startMs, runS } of ran) {
    const endMs = startMs + runS * 1000;
    bedEndsMs.set(bedId, Math.max(endMs, bedEndsMs.get(bedId) ?? endMs));
  }
  return {
    dayL: since(dayStartMs),
    seasonL: since(Number.NEGATIVE_INFINITY),
    pumpStoppedMs: ends.length === 0 ? null : Math.max(...ends),
    bedEndsMs,
  };
}

/** A station's run by its flow; a hose by its depth over the bed, 1 mm on 1 m² being 1 L. */
function handWaterL(site: Site, { bedId, stationId, runS, grossMm }: HandWater): number {
  if (stationId !== null) return waterOfRuns(site, [{ stationId, runS }]);
  return grossMm * (site.beds.find((bed) => bed.id === bedId)?.areaM2 ?? 0);
}

const NEVER_TO_RUN: ReadonlySet<string> = new Set(['withdrawn', 'missed', 'rejected']);

/** What was to run since an instant, as each bed's mean: without held beds and runs never sent. */
export function waterToRun(
  db: Db,
  { site, field: rule }: Pick<LoadedConfig, 'site' | 'field'>,
  { fromMs, nowMs }: { fromMs: number; nowMs: number },
): GivenWater[] {
  const { runs } = whatRan(db, { fromMs, nowMs, rule });
  const stationsOf = grouped(site.stations, (station) => station.bedId);
  return runs
    .filter(({ withoutReport }) => !NEVER_TO_RUN.has(withoutReport))
    .map(({ run }) => ({
      bedId: run.bedId,
      startMs: run.startMs,
      netMm: run.netMm / Math.max(1, stationsOf.get(run.bedId)?.length ?? 1),
    }));
}

/** First day of the season that a site day lies in: the newest of its yearly first days. */
export function seasonStart(siteDay: SiteDay, seasonFrom: string): SiteDay {
  const year = Number(siteDay.slice(0, 4));
  const own = parseSiteDay(`${year}-${seasonFrom}`);
  const last = parseSiteDay(`${year - 1}-${seasonFrom}`);
  if (own === null || last === null) {
    throw new RangeError(
      `season_from: no day of every year (got ${seasonFrom}); write it like 04-01`,
    );
  }
  return siteDay >= own ? own : last;
}

/** The instant from which water counts for the season. */
export function seasonStartMs(siteDay: SiteDay, seasonFrom: string, clock: SiteClock): number {
  return clock.startOf(seasonStart(siteDay, seasonFrom));
}
