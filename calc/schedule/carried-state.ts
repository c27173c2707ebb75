import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';

/** Demand at which two stores are compared, mm/h: that of a hot midday. */
const HOT_DEMAND_MM_PER_H = 0.5;

/**
 * A store's state as that of another store of the same bed, which has begun to be watered for
 * another depth: the same part of the capacity is left.
 *
 * The layer below is seldom drier than the seed layer, so a step to a deeper one is taken on the
 * safe side; a dry store stays dry.
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
  const partFraction =
    from.marginMm(state, HOT_DEMAND_MM_PER_H) / from.marginMm(from.full, HOT_DEMAND_MM_PER_H);
  return to.stateAt(Math.min(1, Math.max(0, partFraction)), HOT_DEMAND_MM_PER_H);
}

/** Whether a state has the parts of a store. */
export function fits(state: StoreState, store: SeedbedStore): boolean {
  const parts = Object.keys(store.full);
  return parts.length === Object.keys(state).length && parts.every((part) => part in state);
}
