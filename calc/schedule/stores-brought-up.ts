import type { Stage, StageName } from '../growth/stages.ts';
import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { bookWater, dryBalance, stateAt } from './bed-balance.ts';
import { bedDemand, stepGrid } from './demand.ts';
import { lossCoefficient } from './loss-coefficient.ts';
import type { Run } from './run.ts';
import type { Site } from './site.ts';

/**
 * Brings each bed's store from an earlier instant up to now with the weather and the runs between.
 *
 * @param input.statesBefore State of each bed's store at `fromMs`; beds without one stay without.
 * @param input.hours Hours without a gap from `fromMs` to `toMs`.
 * @param input.runs Runs that are taken to have run in between.
 */
export function storesBroughtUp(input: {
  site: Site;
  stages: Readonly<Record<StageName, Stage>>;
  stores: ReadonlyMap<string, SeedbedStore>;
  statesBefore: ReadonlyMap<string, StoreState>;
  fromMs: number;
  toMs: number;
  hours: readonly EtHour[];
  runs: readonly Run[];
}): Map<string, StoreState> {
  const { site, stages, fromMs, toMs, hours, runs } = input;
  const grid = stepGrid(fromMs, toMs);
  const states = new Map<string, StoreState>();
  for (const bed of site.beds) {
    const stateNow = input.statesBefore.get(bed.id);
    const store = input.stores.get(bed.id);
    if (stateNow === undefined || store === undefined) continue;
    const stage = stages[bed.stage];
    const balance = dryBalance({
      store,
      grid,
      demand: bedDemand(bed, hours, lossCoefficient(stage, hours), grid),
      stateNow,
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
    states.set(bed.id, stateAt(balance, toMs));
  }
  return states;
}
