import { entryOf } from '../checked-entry.ts';
import { modelRows } from './model-rows.ts';
import { bareSeedbed, rootedSeedbed, storeMm } from './seedbed-dynamics.ts';
import type { SeedbedModel, SeedbedState } from './seedbed-model.ts';
import { partOfState, type SeedbedStore, type StoreState } from './seedbed-store.ts';

/** Demands at which the capacity is worked out once; between them it is read off, mm/h. */
const CAPACITY_AT_MM_PER_H = [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5] as const;

const MOST_H = 48;

/**
 * A seedbed store on the three-layer model of a sand: what `deriveSeedbedModel` found from the
 * numerical column, in the form that the planner uses.
 *
 * The same sand follows the same flows in every stage; a bed with roots counts as moist for longer,
 * and can take what the layers that they reach have room for.
 *
 * @param rootsMm Depth that roots reach, mm; 0, when left out: only the surface counts.
 */
export function modelStore(model: SeedbedModel, rootsMm = 0): SeedbedStore {
  const ofModel = stores.get(model) ?? new Map<number, SeedbedStore>();
  stores.set(model, ofModel);
  const store = ofModel.get(rootsMm) ?? newStore(model, rootsMm);
  ofModel.set(rootsMm, store);
  return store;
}

/** A store holds nothing of a bed, and its capacities take a while: all beds of a sand share it. */
const stores = new WeakMap<SeedbedModel, Map<number, SeedbedStore>>();

function newStore(model: SeedbedModel, rootsMm: number): SeedbedStore {
  // Full is what a cycle can bring about: the seed layer wet through, the sand below as a night of
  // draining leaves it. A thorough wetting holds more, but falls away before it can be used.
  const full = { ...model.drained, seedMm: model.full.seedMm };
  const dynamics = rootsMm > 0 ? rootedSeedbed(model, rootsMm) : bareSeedbed(model);
  const leftMm = (state: SeedbedState, demandMmPerH: number) =>
    storeMm(model, state, { demandMmPerH, mostHours: MOST_H, dynamics });
  const capacities = new Map<number, number>();
  const capacityAt = (rate: number) => {
    const known = capacities.get(rate) ?? leftMm(full, rate);
    capacities.set(rate, known);
    return known;
  };
  const partsOf = (state: StoreState): SeedbedState => ({
    seedMm: partOfState(state, 'seedMm'),
    belowMm: partOfState(state, 'belowMm'),
    rootMm: partOfState(state, 'rootMm'),
  });
  return {
    isAdditive: false,
    full,
    step(state, { waterMm, demandMm, hours }) {
      // Dew is water: the model knows no negative demand.
      const change = dynamics.step(partsOf(state), {
        waterMm: waterMm + Math.max(0, -demandMm),
        demandMm: Math.max(0, demandMm),
        hours,
      });
      return { state: { ...change.state }, drainedMm: change.drainedMm };
    },
    marginMm: (state, demandMmPerH) => dynamics.marginMm(partsOf(state), demandMmPerH),
    leftMm(state, demandMmPerH) {
      const parts = partsOf(state);
      const margin = dynamics.marginMm(parts, demandMmPerH);
      return margin <= 0 || !(demandMmPerH > 0) ? margin : leftMm(parts, demandMmPerH);
    },
    capacityMm: (demandMmPerH) => readOff(capacityAt, demandMmPerH),
    roomMm: (state) => dynamics.roomMm(partsOf(state)),
    driedThrough(demandMmPerH) {
      const dry = dynamics.dryAt(demandMmPerH);
      // No flow between two layers that are filled to the same part.
      const evenMm = (dry.seedMm / model.seed.poreMm) * model.below.poreMm;
      return { ...dry, belowMm: Math.min(dry.belowMm, evenMm) };
    },
    stateAt(partFraction, demandMmPerH) {
      // Between the dry limit of this demand and the state after a night of draining.
      const { drained } = model;
      const dry = dynamics.dryAt(demandMmPerH);
      const between = (low: number, high: number) => low + (high - low) * partFraction;
      return {
        seedMm: between(dry.seedMm, drained.seedMm),
        belowMm: between(dry.belowMm, drained.belowMm),
        rootMm: between(dry.rootMm, drained.rootMm),
      };
    },
    rows: modelRows(model, rootsMm),
  };
}

/** A value between two worked-out ones; beyond the ends the nearest. */
function readOff(valueAt: (rate: number) => number, demandMmPerH: number): number {
  const after = CAPACITY_AT_MM_PER_H.findIndex((rate) => rate >= demandMmPerH);
  if (after === -1) return valueAt(entryOf(CAPACITY_AT_MM_PER_H, CAPACITY_AT_MM_PER_H.length - 1));
  if (after === 0) return valueAt(entryOf(CAPACITY_AT_MM_PER_H, 0));
  const low = entryOf(CAPACITY_AT_MM_PER_H, after - 1);
  const high = entryOf(CAPACITY_AT_MM_PER_H, after);
  const [atLow, atHigh] = [valueAt(low), valueAt(high)];
  return atLow + ((atHigh - atLow) * (demandMmPerH - low)) / (high - low);
}
