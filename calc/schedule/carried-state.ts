import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import { mapStations, stationStates } from './station-states.ts';

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
