import type { SeedbedStore } from '../../calc/sand/seedbed-store.ts';

/**
 * A store that counts each of its mm as so many: capacity, room, margins and what rises from below
 * all grow by the factor. This is the one place where a learned capacity enters the planning.
 *
 * The state is kept in the unscaled store's own mm. So a full bed stays full and a dry one dry when
 * more is learned of it, and a plan's state can be carried on under another factor.
 *
 * @param capacityFactor Factor of the capacity, above 0; 1 gives the store itself.
 * @throws RangeError when the factor is not above 0.
 */
export function scaledStore(store: SeedbedStore, capacityFactor: number): SeedbedStore {
  if (!(capacityFactor > 0 && Number.isFinite(capacityFactor))) {
    throw new RangeError(
      `scaledStore: the capacity factor must be above 0 (got ${capacityFactor}); use 1 for the sand's own`,
    );
  }
  if (capacityFactor === 1) return store;
  const factor = capacityFactor;
  return {
    isAdditive: store.isAdditive,
    full: store.full,
    step(state, { waterMm, demandMm, hours }) {
      const inner = { waterMm: waterMm / factor, demandMm: demandMm / factor, hours };
      const change = store.step(state, inner);
      return { state: change.state, drainedMm: change.drainedMm * factor };
    },
    marginMm: (state, demandMmPerH) => factor * store.marginMm(state, demandMmPerH / factor),
    leftMm: (state, demandMmPerH) => factor * store.leftMm(state, demandMmPerH / factor),
    capacityMm: (demandMmPerH) => factor * store.capacityMm(demandMmPerH / factor),
    roomMm: (state) => factor * store.roomMm(state),
    driedThrough: (demandMmPerH) => store.driedThrough(demandMmPerH / factor),
    stateAt: (partFraction, demandMmPerH) => store.stateAt(partFraction, demandMmPerH / factor),
    rows: {
      names: store.rows.names,
      step: (rows, place, { waterMm, demandMm, hours }) =>
        factor *
        store.rows.step(rows, place, {
          waterMm: waterMm / factor,
          demandMm: demandMm / factor,
          hours,
        }),
      marginMm: (rows, at, demandMmPerH) =>
        factor * store.rows.marginMm(rows, at, demandMmPerH / factor),
      roomMm: (rows, at) => factor * store.rows.roomMm(rows, at),
    },
  };
}
