/** How the store's size came to be known. */
export type SandBasis = 'stated' | 'class_default' | 'lab_report';

/** What the planning store needs to know of a bed's sand. */
export interface SeedbedSand {
  /** Named sand class, or the name of the lab report. */
  name: string;
  basis: SandBasis;
  /** Water that the seedbed holds between full and its dry limit, mm. */
  capacityMm: number;
  /** Rate at which the root zone below can feed the seedbed, mm/h. */
  feedMmPerH: number;
}

/** What happens to a seedbed in one step. */
export interface StoreStep {
  /** Rain and net irrigation together, mm. */
  waterMm: number;
  /** Loss that the air asks for, mm; negative when dew forms. */
  demandMm: number;
  hours: number;
}

/** The store after a step, and where the water went. */
export interface StoreResult {
  /** Water above the dry limit, mm; negative once the seedbed is drier than that. */
  storeMm: number;
  /** Water that the store could not hold, mm: it goes to the root zone. */
  drainedMm: number;
  /** Water that came up from below, mm. */
  fedMm: number;
}

/**
 * Brings the store one step forward: water in, demand out, feed from below, overflow drained.
 *
 * The feed never lifts the store by itself: it covers demand up to the sand's rate, because a
 * seedbed wetter than the sand below it is not fed. Below the dry limit the store goes negative
 * without bound only as far as demand takes it; the deficit says how long the seedbed has been dry.
 * The balance closes: `after = before + water + fed - demand - drained`.
 */
export function stepStore(sand: SeedbedSand, storeMm: number, step: StoreStep): StoreResult {
  const fedMm = Math.min(Math.max(step.demandMm, 0), sand.feedMmPerH * step.hours);
  const level = storeMm + step.waterMm + fedMm - step.demandMm;
  const drainedMm = Math.max(0, level - sand.capacityMm);
  return { storeMm: level - drainedMm, drainedMm, fedMm };
}
