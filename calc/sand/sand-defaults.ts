/** Figures of a sand class that stand in until the sand's own are known. */
export interface SandClassDefault {
  /** Water between full and the dry limit of an 8 mm seed layer, mm. */
  capacityMm: number;
  /** Rate at which the root zone below can feed the seedbed, mm/h. */
  feedMmPerH: number;
}

/** Sand classes by grain and by what lies below, driest first. */
export const SAND_CLASS_NAMES = [
  'coarse',
  'medium_coarse_over_gravel',
  'medium_over_gravel',
  'fine_over_gravel',
] as const;

export type SandClassName = (typeof SAND_CLASS_NAMES)[number];

/** Assumed figures without a published source: a bed that uses them is marked as assumed. */
export const SAND_CLASS_DEFAULTS: Record<SandClassName, SandClassDefault> = {
  coarse: { capacityMm: 0.5, feedMmPerH: 0.02 },
  medium_coarse_over_gravel: { capacityMm: 0.7, feedMmPerH: 0.05 },
  medium_over_gravel: { capacityMm: 0.9, feedMmPerH: 0.1 },
  fine_over_gravel: { capacityMm: 1.2, feedMmPerH: 0.2 },
};
