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
