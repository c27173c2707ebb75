import {
  dryLimitMm,
  marginMm,
  roomMm,
  type SeedbedModel,
  type SeedbedState,
} from './seedbed-model.ts';
import { storeMm } from './seedbed-outlook.ts';
import { stepSeedbed } from './seedbed-step.ts';
import type { SeedbedStore, StoreState } from './seedbed-store.ts';

/** Demands at which the capacity is worked out once; between them it is read off, mm/h. */
const CAPACITY_AT_MM_PER_H = [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5] as const;

const MOST_H = 48;

/**
 * A seedbed store on the three-layer model of a sand: what `deriveSeedbedModel` found from the
 * numerical column, in the form that the planner uses.
 */
export function modelStore(model: SeedbedModel): SeedbedStore {
  // Full is what a cycle can bring about: the seed layer wet through, the sand below as a night of
  // draining leaves it. A thorough wetting holds more, but falls away before it can be used.
  const full = { ...model.drained, seedMm: model.full.seedMm };
  const capacities = CAPACITY_AT_MM_PER_H.map((demandMmPerH) =>
    storeMm(model, full, { demandMmPerH, mostHours: MOST_H }),
  );
  const partsOf = (state: StoreState): SeedbedState => ({
    seedMm: state['seedMm'] ?? 0,
    belowMm: state['belowMm'] ?? 0,
    rootMm: state['rootMm'] ?? 0,
  });
  return {
    isAdditive: false,
    full,
    step(state, { waterMm, demandMm, hours }) {
      // Dew is water: the model knows no negative demand.
      const change = stepSeedbed(model, partsOf(state), {
        waterMm: waterMm + Math.max(0, -demandMm),
        demandMm: Math.max(0, demandMm),
        hours,
      });
      return { state: { ...change.state }, drainedMm: change.drainedMm };
    },
    marginMm: (state, demandMmPerH) => marginMm(model, partsOf(state), demandMmPerH),
    leftMm(state, demandMmPerH) {
      const parts = partsOf(state);
      const margin = marginMm(model, parts, demandMmPerH);
      if (margin <= 0 || !(demandMmPerH > 0)) return margin;
      return storeMm(model, parts, { demandMmPerH, mostHours: MOST_H });
    },
    capacityMm: (demandMmPerH) => readOff(capacities, demandMmPerH),
    roomMm: (state) => roomMm(model, partsOf(state)),
    stateAt(partFraction, demandMmPerH) {
      // Between the dry limit of this demand and the state after a night of draining.
      const { drained, dry } = model;
      const between = (low: number, high: number) => low + (high - low) * partFraction;
      return {
        seedMm: between(Math.max(dry.seedMm, dryLimitMm(model, demandMmPerH)), drained.seedMm),
        belowMm: between(dry.belowMm, drained.belowMm),
        rootMm: between(dry.rootMm, drained.rootMm),
      };
    },
  };
}

/** A value between two worked-out ones; beyond the ends the nearest. */
function readOff(values: readonly number[], demandMmPerH: number): number {
  const after = CAPACITY_AT_MM_PER_H.findIndex((rate) => rate >= demandMmPerH);
  const last = values.at(-1) ?? 0;
  if (after === -1) return last;
  if (after === 0) return values[0] ?? last;
  const [low, high] = [CAPACITY_AT_MM_PER_H[after - 1] ?? 0, CAPACITY_AT_MM_PER_H[after] ?? 1];
  const [atLow, atHigh] = [values[after - 1] ?? last, values[after] ?? last];
  return atLow + ((atHigh - atLow) * (demandMmPerH - low)) / (high - low);
}
