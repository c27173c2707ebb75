import type { DayPlan } from './day-plan.ts';
import type { KeptCycle, Run } from './run.ts';
import type { Limits, Site, Station, SupplyLimit } from './site.ts';

/** What ran before a plan's own runs, and is none of the cycles that it keeps. */
export interface RanBefore {
  /** Water of the site day so far. */
  dayL: number;
  /** Water of the season so far, the day's among it. */
  seasonL: number;
  /** When the pump last stopped; null: not known, or long ago. */
  pumpStoppedMs: number | null;
  /** When each bed's last water ended, by bed id; left out: long ago. */
  bedEndsMs?: ReadonlyMap<string, number>;
}

/**
 * What is left of the allowance that binds first, and which it is: every run counts in both, so the
 * one with less left now has less left at any time of the plan.
 */
export function waterLeft(
  limits: Pick<Limits, 'dayAllowanceL' | 'seasonAllowanceL'>,
  before: Pick<RanBefore, 'dayL' | 'seasonL'> = { dayL: 0, seasonL: 0 },
): { limit: SupplyLimit; allowedL: number } {
  const dayL = (limits.dayAllowanceL ?? Infinity) - before.dayL;
  const seasonL = (limits.seasonAllowanceL ?? Infinity) - before.seasonL;
  return seasonL < dayL
    ? { limit: { kind: 'season_allowance' }, allowedL: seasonL }
    : { limit: { kind: 'allowance' }, allowedL: dayL };
}

/** The season's water against its allowance, as a part of a plan; nothing without an allowance. */
export function seasonWater(
  site: Site,
  runs: readonly Run[],
  { kept, ranBefore }: { kept: readonly KeptCycle[]; ranBefore?: RanBefore },
): Pick<DayPlan, 'seasonWater'> {
  const { seasonAllowanceL: allowedL } = site.limits;
  if (allowedL === null) return {};
  const usedL = ranBefore?.seasonL ?? 0;
  const keyOf = (run: Pick<Run, 'stationId' | 'startMs'>) => `${run.stationId} ${run.startMs}`;
  // A kept cycle that has begun already is none of the plan's runs, and not yet among what ran.
  const all = new Map(
    [...kept.flatMap((cycle) => cycle.runs), ...runs].map((run) => [keyOf(run), run]),
  );
  const plannedL = waterOfRuns(site, [...all.values()]);
  return { seasonWater: { allowedL, usedL, plannedL, leftL: allowedL - usedL - plannedL } };
}

/** Water that runs take from the supply: each station's flow over its seconds, litres. */
export function waterOfRuns(
  site: { stations: readonly Pick<Station, 'id' | 'flowLPerMin'>[] },
  runs: readonly Pick<Run, 'stationId' | 'runS'>[],
): number {
  const flowOf = new Map(site.stations.map((station) => [station.id, station.flowLPerMin]));
  return runs.reduce((sum, run) => sum + ((flowOf.get(run.stationId) ?? 0) * run.runS) / 60, 0);
}
