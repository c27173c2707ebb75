import type { HandWater } from '../../calc/schedule/hand-water.ts';
import type { KeptCycle } from '../../calc/schedule/kept-cycle.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { waterOfRuns } from '../../calc/schedule/season-water.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { RanBefore } from '../../calc/schedule/water-left.ts';
import type { FieldRule } from '../field/run-state.ts';
import type { Db } from '../store/database.ts';
import { handWaterSince } from '../store/hand-water.ts';
import { runsSince } from './applied-runs.ts';

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
  const applied = runsSince(db, { fromMs, nowMs, site, rule });
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
