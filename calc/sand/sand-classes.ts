import type { BedProfile } from './bed-column.ts';
import type { VanGenuchten } from './hydraulic-properties.ts';
import type { SandRange } from './retention-curves.ts';

/** Where a class's numbers come from. */
type SandClassBasis = 'published' | 'assumed';

/** The sands that a bed may be said to have, from coarse and open to fine over gravel. */
export type SandClassKey =
  | 'coarse_open'
  | 'loamy_open'
  | 'medium_open'
  | 'coarse_over_gravel'
  | 'medium_coarse_over_gravel'
  | 'medium_over_gravel'
  | 'fine_over_gravel';

/**
 * What a class's defaults rest on. `class_means`: means of a texture class (Carsel & Parrish 1988);
 * `class_means_dry`: the same, of a sand that holds less at 30 cm than a greens mix should;
 * `greens_mix`: assumed inside the recommended ranges for greens mixes (total porosity 35-55 %,
 * capillary 15-25 % at 30 cm, at least 150 mm/h); `without_gravel`: assumed, the medium sand over
 * gravel without its gravel.
 */
export type SandSource = 'class_means' | 'class_means_dry' | 'greens_mix' | 'without_gravel';

/** A plainly named sand with its defaults, for a bed without a laboratory report. */
export interface SandClass {
  key: SandClassKey;
  basis: SandClassBasis;
  source: SandSource;
  bed: BedProfile;
  /** Within what a sand of this class may lie. */
  range: SandRange;
  /** Plausible range of the exponent n for this kind of sand. */
  lowerN: number;
  upperN: number;
}

// Carsel & Parrish 1988, Water Resour. Res. 24:755-769: means for texture classes (712.8 and
// 350.2 cm/day). Read in open tables that carry them.
const publishedSand: VanGenuchten = {
  residualFraction: 0.045,
  saturatedFraction: 0.43,
  alphaPerCm: 0.145,
  n: 2.68,
  saturatedMmPerH: 297,
};
const publishedLoamySand: VanGenuchten = {
  residualFraction: 0.057,
  saturatedFraction: 0.41,
  alphaPerCm: 0.124,
  n: 2.28,
  saturatedMmPerH: 145.9,
};
// Standard deviations of the same table: theta_s 0.06 and 0.09, theta_r 0.010 and 0.015, alpha 0.029
// and 0.043 1/cm, n 0.29 and 0.27, conductivity 15.6 and 11.36 cm/h. From memory.
const publishedSandRange: SandRange = {
  n: [2.39, 2.97],
  residualFraction: [0.035, 0.055],
  saturatedFraction: [0.37, 0.49],
  saturatedMmPerH: [141, 453],
  alphaPerCm: [0.116, 0.174],
  source: 'one_deviation',
};
const publishedLoamySandRange: SandRange = {
  n: [2.01, 2.55],
  residualFraction: [0.042, 0.072],
  saturatedFraction: [0.32, 0.5],
  saturatedMmPerH: [32.3, 259.5],
  alphaPerCm: [0.081, 0.167],
  source: 'one_deviation',
};
const mediumRange: SandRange = {
  n: [2.5, 3.5],
  residualFraction: [0.03, 0.05],
  saturatedFraction: [0.37, 0.43],
  saturatedMmPerH: [233, 525],
  alphaPerCm: { throughFraction: [0.19, 0.235] },
  source: 'near_default',
};
const mediumCoarseRange: SandRange = {
  n: [2.5, 3.5],
  residualFraction: [0.02, 0.04],
  saturatedFraction: [0.36, 0.42],
  saturatedMmPerH: [333, 750],
  alphaPerCm: { throughFraction: [0.15, 0.185] },
  source: 'near_default',
};
const fineRange: SandRange = {
  n: [2.1, 2.9],
  residualFraction: [0.04, 0.06],
  saturatedFraction: [0.39, 0.45],
  saturatedMmPerH: [150, 300],
  alphaPerCm: { throughFraction: [0.225, 0.25] },
  source: 'near_default',
};

/** Six and more named sands, from coarse and open to fine over gravel. */
export const sandClasses: readonly SandClass[] = [
  {
    key: 'coarse_open',
    basis: 'published',
    source: 'class_means',
    bed: { sand: publishedSand, depthMm: 300, under: 'open' },
    range: publishedSandRange,
    lowerN: 2.2,
    upperN: 3.5,
  },
  {
    key: 'loamy_open',
    basis: 'published',
    source: 'class_means',
    bed: { sand: publishedLoamySand, depthMm: 300, under: 'open' },
    range: publishedLoamySandRange,
    lowerN: 1.9,
    upperN: 2.8,
  },
  {
    key: 'medium_open',
    basis: 'assumed',
    source: 'without_gravel',
    bed: {
      sand: {
        residualFraction: 0.04,
        saturatedFraction: 0.4,
        alphaPerCm: 0.042,
        n: 3,
        saturatedMmPerH: 350,
      },
      depthMm: 300,
      under: 'open',
    },
    range: mediumRange,
    lowerN: 2.2,
    upperN: 5,
  },
  {
    key: 'coarse_over_gravel',
    basis: 'published',
    source: 'class_means_dry',
    bed: { sand: publishedSand, depthMm: 300, under: 'gravel' },
    range: publishedSandRange,
    lowerN: 2.2,
    upperN: 3.5,
  },
  {
    key: 'medium_coarse_over_gravel',
    basis: 'assumed',
    source: 'greens_mix',
    bed: {
      sand: {
        residualFraction: 0.03,
        saturatedFraction: 0.39,
        alphaPerCm: 0.05,
        n: 3,
        saturatedMmPerH: 500,
      },
      depthMm: 300,
      under: 'gravel',
    },
    range: mediumCoarseRange,
    lowerN: 2.2,
    upperN: 5,
  },
  {
    key: 'medium_over_gravel',
    basis: 'assumed',
    source: 'greens_mix',
    bed: {
      sand: {
        residualFraction: 0.04,
        saturatedFraction: 0.4,
        alphaPerCm: 0.042,
        n: 3,
        saturatedMmPerH: 350,
      },
      depthMm: 300,
      under: 'gravel',
    },
    range: mediumRange,
    lowerN: 2.2,
    upperN: 5,
  },
  {
    key: 'fine_over_gravel',
    basis: 'assumed',
    source: 'greens_mix',
    bed: {
      sand: {
        residualFraction: 0.05,
        saturatedFraction: 0.42,
        alphaPerCm: 0.043,
        n: 2.5,
        saturatedMmPerH: 200,
      },
      depthMm: 300,
      under: 'gravel',
    },
    range: fineRange,
    lowerN: 2,
    upperN: 4,
  },
];

/**
 * The class of this name.
 *
 * @throws RangeError when there is none
 */
export function sandClass(key: string): SandClass {
  const found = sandClasses.find((candidate) => candidate.key === key);
  if (found === undefined) {
    throw new RangeError(
      `sandClass: no such sand (got ${key}); choose one of ${sandClasses.map((one) => one.key).join(', ')}`,
    );
  }
  return found;
}
