import { waterOfRuns } from './allowances.ts';
import type { PlanLeeway } from './plan-leeway.ts';
import type { Run } from './run.ts';
import type { Limits, Site, Station, SupplyLimit } from './site.ts';

/** What runs are held against: the supply's limits, and what each station takes of it. */
export interface SupplyRule {
  limits: Pick<Limits, 'pumpFlowLPerMin' | 'mains' | 'laterals' | 'stationsAtOnce'>;
  stations: readonly Pick<Station, 'id' | 'flowLPerMin' | 'mainId' | 'lateralId'>[];
  flowOf(stationId: string): number;
}

export function supplyRule({ limits, stations }: Pick<Site, 'limits' | 'stations'>): SupplyRule {
  const flows = new Map(stations.map(({ id, flowLPerMin }) => [id, flowLPerMin]));
  return { limits, stations, flowOf: (stationId) => flows.get(stationId) ?? 0 };
}

type OpenRun = Pick<Run, 'stationId' | 'startMs' | 'runS'>;

/** Litres by which sums of flows may miss their limit by rounding. */
const ROUNDING = 1e-6;

/**
 * The limit that runs break together, or null: flows of pump, mains and laterals and the stations open
 * at once, at each start; the day's water of mains and of the whole site, where a leeway bounds it. Pure.
 */
export function supplyBroken(
  runs: readonly OpenRun[],
  { limits, stations, flowOf }: SupplyRule,
  leeway: Pick<PlanLeeway, 'mains' | 'mostL'>,
): SupplyLimit | null {
  const pipeOf = new Map(stations.map((station) => [station.id, station]));
  const flow = (open: readonly OpenRun[]) =>
    open.reduce((sum, { stationId }) => sum + flowOf(stationId), 0);
  let open: OpenRun[] = [];
  for (const next of runs.toSorted((a, b) => a.startMs - b.startMs)) {
    open = open.filter((run) => run.startMs + run.runS * 1000 > next.startMs);
    open.push(next);
    if (flow(open) > limits.pumpFlowLPerMin + ROUNDING) return { kind: 'pump' };
    if (open.length > limits.stationsAtOnce) return { kind: 'stations_at_once' };
    for (const kind of ['main', 'lateral'] as const) {
      for (const { id, flowLPerMin } of kind === 'main' ? limits.mains : limits.laterals) {
        const own = open.filter(({ stationId }) => pipeOf.get(stationId)?.[`${kind}Id`] === id);
        if (flow(own) > flowLPerMin + ROUNDING) return { kind, id };
      }
    }
  }
  const litres = (of: readonly OpenRun[]) => waterOfRuns({ stations }, of);
  for (const { mainId, mostL } of leeway.mains) {
    const own = runs.filter(({ stationId }) => pipeOf.get(stationId)?.mainId === mainId);
    if (litres(own) > mostL + ROUNDING) return { kind: 'allowance' };
  }
  return litres(runs) > leeway.mostL + ROUNDING ? { kind: 'allowance' } : null;
}
