import type { BedProfile } from './bed-column.ts';
import type { VanGenuchten } from './retention.ts';

/** Where a class's numbers come from. */
export type SandClassBasis = 'published' | 'assumed';

/** A plainly named sand with its defaults, for a bed without a laboratory report. */
export interface SandClass {
  key: string;
  description: string;
  basis: SandClassBasis;
  source: string;
  bed: BedProfile;
  /** Plausible range of the exponent n for this kind of sand. */
  leastN: number;
  greatestN: number;
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
const parrish = 'Carsel & Parrish 1988, class means';
const ranges =
  'assumed inside the recommended ranges for greens mixes: total porosity 35-55 %, capillary 15-25 % at 30 cm, at least 150 mm/h';

/** Six and more named sands, from coarse and open to fine over gravel. */
export const sandClasses: readonly SandClass[] = [
  {
    key: 'coarse_open',
    description: 'coarse sand, open below',
    basis: 'published',
    source: `${parrish}: sand`,
    bed: { sand: publishedSand, depthMm: 300, under: 'open' },
    leastN: 2.2,
    greatestN: 3.5,
  },
  {
    key: 'loamy_open',
    description: 'loamy sand, open below',
    basis: 'published',
    source: `${parrish}: loamy sand`,
    bed: { sand: publishedLoamySand, depthMm: 300, under: 'open' },
    leastN: 1.9,
    greatestN: 2.8,
  },
  {
    key: 'medium_open',
    description: 'medium sand, open below',
    basis: 'assumed',
    source: 'assumed: the medium sand over gravel without its gravel',
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
    leastN: 2.2,
    greatestN: 5,
  },
  {
    key: 'coarse_over_gravel',
    description: 'coarse sand over gravel',
    basis: 'published',
    source: `${parrish}: sand; holds less at 30 cm than a greens mix should`,
    bed: { sand: publishedSand, depthMm: 300, under: 'gravel' },
    leastN: 2.2,
    greatestN: 3.5,
  },
  {
    key: 'medium_coarse_over_gravel',
    description: 'medium-coarse sand over gravel',
    basis: 'assumed',
    source: ranges,
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
    leastN: 2.2,
    greatestN: 5,
  },
  {
    key: 'medium_over_gravel',
    description: 'medium sand over gravel',
    basis: 'assumed',
    source: ranges,
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
    leastN: 2.2,
    greatestN: 5,
  },
  {
    key: 'fine_over_gravel',
    description: 'fine sand over gravel',
    basis: 'assumed',
    source: ranges,
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
    leastN: 2,
    greatestN: 4,
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
