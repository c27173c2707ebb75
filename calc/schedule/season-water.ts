import type { DayPlan } from './day-plan.ts';
import type { KeptCycle } from './kept-cycle.ts';
import type { Run } from './run.ts';
import type { Site } from './site.ts';
import type { RanBefore } from './water-left.ts';

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
  site: Pick<Site, 'stations'>,
  runs: readonly Pick<Run, 'stationId' | 'runS'>[],
): number {
  const flowOf = new Map(site.stations.map((station) => [station.id, station.flowLPerMin]));
  return runs.reduce((sum, run) => sum + ((flowOf.get(run.stationId) ?? 0) * run.runS) / 60, 0);
}
