import { bedStore, type ModelMember } from '../futures/member-spread.ts';
import type { Stage, StageName } from '../growth/stages.ts';
import {
  managedSand,
  plainStore,
  SEED_LAYER_MM,
  type SeedbedStore,
  type StoreState,
} from '../sand/seedbed-store.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { bookWater, dryBalance, stateAt } from './bed-balance.ts';
import { bedDemand, lossCoefficient, stepGrid } from './demand.ts';
import { type Run, runWater } from './run.ts';
import type { Bed, BedSand, Site } from './site.ts';
import { bedState, mapStations, stateOfStation, stationStates } from './station-states.ts';

/** Gives what a sand may be, for a seed layer of this depth. */
export type MembersOf = (sand: BedSand, seedLayerMm: number) => readonly ModelMember[];

/**
 * The store of each bed, by bed id, for the depth that its stage manages. Seed pressed into dimples
 * lies deeper: the seed layer grows by their depth.
 *
 * @param membersOf What a sand that has no stated figures may be; working it out from the numerical
 *   column takes seconds, so the caller keeps it.
 */
export function bedStores(
  beds: readonly Bed[],
  stages: Readonly<Record<StageName, Stage>>,
  membersOf: MembersOf,
): Map<string, SeedbedStore> {
  return new Map(beds.map((bed) => [bed.id, storeOf(bed, stages[bed.stage], membersOf)]));
}

function storeOf(bed: Bed, stage: Stage, membersOf: MembersOf): SeedbedStore {
  const { sand, embeddingMm } = bed;
  const seedLayerMm = SEED_LAYER_MM + embeddingMm;
  const seedLayerRules = stage.managedDepthMm <= SEED_LAYER_MM;
  if (sand.stated !== null) {
    const depthMm = seedLayerRules ? seedLayerMm : stage.managedDepthMm;
    return plainStore(managedSand(sand.stated, depthMm));
  }
  const members = membersOf(sand, seedLayerMm);
  return bedStore(members, seedLayerRules ? 0 : stage.managedDepthMm, bed.memberWeights);
}

/** A bed of which nothing is known is taken for one that has this part of its store left. */
const UNKNOWN_FRACTION = 0.2;

/** The state of a bed of which nothing is known. */
export function stateUnknown(store: SeedbedStore): StoreState {
  return store.stateAt(UNKNOWN_FRACTION, 0);
}

/** Demand at which two stores are compared, mm/h: that of a hot midday. */
const HOT_DEMAND_MM_PER_H = 0.5;

/**
 * A store's state as that of another store of the same bed, which has begun to be watered for
 * another depth. Layers of sand stay as they are, whatever roots reach of them. Of a store of sums the
 * same part of the capacity is left: the layer below is seldom drier than the seed layer, so a step
 * to a deeper one is taken on the safe side; a dry store stays dry.
 *
 * @returns Null when the state does not belong to the store it is said to come from, as after a
 *   change of the bed's sand: then nothing is known.
 */
export function carriedState(
  state: StoreState,
  from: SeedbedStore,
  to: SeedbedStore,
): StoreState | null {
  if (!fits(state, from)) return null;
  if (!from.isAdditive && !to.isAdditive && fits(state, to)) return state;
  const fullMm = from.marginMm(from.full, HOT_DEMAND_MM_PER_H);
  return mapStations(state, (own) => {
    const partFraction = from.marginMm(own, HOT_DEMAND_MM_PER_H) / fullMm;
    return to.stateAt(Math.min(1, Math.max(0, partFraction)), HOT_DEMAND_MM_PER_H);
  });
}

/** Whether a state, of each station where they differ, has the parts of a store. */
export function fits(state: StoreState, store: SeedbedStore): boolean {
  const names = Object.keys(store.full);
  const states = [...stationStates(state).values()];
  return (
    states.length > 0 &&
    states.every(
      (own) => names.length === Object.keys(own).length && names.every((name) => name in own),
    )
  );
}

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
