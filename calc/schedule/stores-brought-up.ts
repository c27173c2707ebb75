import type { Stage, StageName } from '../growth/stages.ts';
import { managedSand } from '../sand/managed-sand.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { bookWater, dryBalance, storeAt } from './bed-balance.ts';
import type { Run } from './day-plan.ts';
import { bedDemand, stepGrid } from './demand.ts';
import type { Site } from './site.ts';

/**
 * Brings each bed's store from an earlier instant up to now with the weather and the runs between.
 *
 * @param input.storeMm Store of each bed at `fromMs`; beds without one stay without.
 * @param input.hours Hours without a gap from `fromMs` to `toMs`.
 * @param input.runs Runs that are taken to have run in between.
 */
export function storesBroughtUp(input: {
  site: Site;
  stages: Readonly<Record<StageName, Stage>>;
  storeMm: ReadonlyMap<string, number>;
  fromMs: number;
  toMs: number;
  hours: readonly EtHour[];
  runs: readonly Run[];
}): Map<string, number> {
  const { site, stages, storeMm, fromMs, toMs, hours, runs } = input;
  const grid = stepGrid(fromMs, toMs);
  const stores = new Map<string, number>();
  for (const bed of site.beds) {
    const before = storeMm.get(bed.id);
    if (before === undefined) continue;
    const stage = stages[bed.stage];
    const balance = dryBalance({
      sand: managedSand(bed.sand, stage.managedDepthMm),
      grid,
      demand: bedDemand(bed, hours, stage.cropCoefficientFraction, grid),
      storeNowMm: before,
    });
    const stations = site.stations.filter((station) => station.bedId === bed.id).length;
    for (const run of runs.filter((one) => one.bedId === bed.id)) {
      // A station waters its share of the bed; the store follows the bed's mean.
      bookWater(balance, {
        startMs: run.startMs,
        endMs: run.startMs + run.runS * 1000,
        netMm: run.netMm / Math.max(1, stations),
      });
    }
    stores.set(bed.id, storeAt(balance, toMs));
  }
  return stores;
}
