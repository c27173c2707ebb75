import type { SeedbedStore, StoreState } from './seedbed-store.ts';

/** Figures of a one-part store. */
export interface PlainStoreFigures {
  /** Water that the seedbed holds between full and its dry limit, mm. */
  capacityMm: number;
  /** Rate at which the root zone below can feed the seedbed, mm/h. */
  feedMmPerH: number;
}

const MOST_H = 48;

/**
 * The plainest store: one part, full after a cycle, emptied by demand, fed from below at a steady
 * rate, overflow drained. Its capacity is the same at every demand.
 *
 * The feed only covers demand and never lifts the store by itself, because a seedbed wetter than
 * the sand below is not fed. Below the dry limit the store goes negative as far as demand takes it.
 * The balance closes: `after = before + water + fed - demand - drained`.
 *
 * @throws RangeError when the capacity is not above 0 or the feed is negative.
 */
export function plainStore(figures: PlainStoreFigures): SeedbedStore {
  const { capacityMm, feedMmPerH } = figures;
  if (!(capacityMm > 0) || !(feedMmPerH >= 0)) {
    throw new RangeError(
      `plainStore: capacity must be above 0 and feed not negative (got ${capacityMm} mm, ${feedMmPerH} mm/h); correct the sand's figures`,
    );
  }
  /** The store empties at the demand less the feed, and gives the demand meanwhile. */
  const givenMm = (levelMm: number, demandMmPerH: number) => {
    if (levelMm <= 0) return levelMm;
    const emptiesMmPerH = demandMmPerH - feedMmPerH;
    const mostMm = Math.max(levelMm, demandMmPerH * MOST_H);
    return emptiesMmPerH > 0 ? Math.min((levelMm * demandMmPerH) / emptiesMmPerH, mostMm) : mostMm;
  };
  const levelOf = (state: StoreState) => state['storeMm'] ?? 0;
  return {
    isAdditive: true,
    full: { storeMm: capacityMm },
    step(state, { waterMm, demandMm, hours }) {
      const fedMm = Math.min(Math.max(demandMm, 0), feedMmPerH * hours);
      const level = levelOf(state) + waterMm + fedMm - demandMm;
      const drainedMm = Math.max(0, level - capacityMm);
      return { state: { storeMm: level - drainedMm }, drainedMm };
    },
    marginMm: levelOf,
    leftMm: (state, demandMmPerH) => givenMm(levelOf(state), demandMmPerH),
    capacityMm: (demandMmPerH) => givenMm(capacityMm, demandMmPerH),
    roomMm: (state) => Math.max(0, capacityMm - levelOf(state)),
    driedThrough: () => ({ storeMm: 0 }),
    stateAt: (partFraction) => ({ storeMm: capacityMm * partFraction }),
  };
}
