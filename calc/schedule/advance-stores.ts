import type { Stage, StageName } from '../growth/stages.ts';
import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { bookWater, dryBalance, stateAt } from './bed-balance.ts';
import { bedDemand, stepGrid } from './demand.ts';
import { lossCoefficient } from './loss-coefficient.ts';
import { type Run, runWater } from './run.ts';
import type { Site } from './site.ts';
import { bedState, stateOfStation } from './station-states.ts';

/**
 * Brings each bed's store from an earlier instant up to now with the weather and the runs between.
 *
 * @param input.statesBefore State of each bed's store at `fromMs`; beds without one stay without.
 * @param input.hours Hours without a gap from `fromMs` to `toMs`.
 * @param input.runs Runs that are taken to have run in between.
 */
export function advanceStores(input: {
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
    const stations = site.stations.filter((station) => station.bedId === bed.id);
    if (stations.length === 0) continue;
    const demand = bedDemand(
      bed,
      hours,
      lossCoefficient(stage, hours, bed.seenCoverFraction),
      grid,
    );
    const own = runs.filter((run) => run.bedId === bed.id);
    // What ran may differ from station to station whatever was planned: each is followed by itself.
    const broughtUp = stations.map(({ id }) => {
      const from = stateOfStation(stateNow, id, store);
      const balance = dryBalance({ store, grid, demand, stateNow: from });
      for (const run of own.filter((one) => one.stationId === id)) {
        bookWater(balance, runWater([run]));
      }
      return [id, stateAt(balance, toMs)] as const;
    });
    states.set(bed.id, bedState(new Map(broughtUp)));
  }
  return states;
}
