/**
 * Infiltration problems of Celia, Bouloutas & Zarba 1990, Water Resour. Res. 26:1483-1496. The sands
 * and boundaries are the paper's, read in open codes that carry them. The paper prints its profiles
 * as figures only: `depths`, `frontMm` and the water sums are an independent recomputation (modified
 * Picard, converged grids), not published.
 */
export const celiaOne = {
  source: 'Celia et al. 1990, problem 1 (Haverkamp sand)',
  sand: {
    residualFraction: 0.075,
    saturatedFraction: 0.287,
    alpha: 1.611e6,
    beta: 3.96,
    a: 1.175e6,
    gamma: 4.74,
    saturatedMmPerH: 339.84,
  },
  depthMm: 400,
  hours: 0.1,
  topHeadMm: -207,
  startHeadMm: -615,
  frontHeadMm: -411,
  frontMm: 157.0,
  storedMm: 23.68,
  inflowMm: 23.77,
  depths: [
    [0, -207.0, 0.2676],
    [50, -219.4, 0.2631],
    [100, -250.8, 0.2494],
    [120, -278.0, 0.235],
    [140, -328.7, 0.2051],
    [160, -430.2, 0.1499],
    [180, -559.4, 0.1093],
    [200, -607.9, 0.1009],
    [250, -615.0, 0.0999],
  ],
} as const;

export const celiaTwo = {
  source: 'Celia et al. 1990, problem 2 (New Mexico sand)',
  sand: {
    residualFraction: 0.102,
    saturatedFraction: 0.368,
    alphaPerCm: 0.0335,
    n: 2,
    saturatedMmPerH: 331.92,
  },
  depthMm: 1000,
  hours: 24,
  topHeadMm: -750,
  startHeadMm: -10000,
  frontHeadMm: -5000,
  frontMm: 565,
  storedMm: 41.13,
  inflowMm: 41.09,
  depths: [
    [0, -750, 0.2004],
    [200, -803, 0.1947],
    [400, -1005, 0.1778],
    [500, -1429, 0.1564],
    [520, -1658, 0.1491],
    [540, -2099, 0.1394],
    [550, -2552, 0.1329],
    [560, -3598, 0.124],
    [580, -10000, 0.1099],
  ],
  /** Functions of the sand: head, water content, conductivity (null: not printed). */
  functions: [
    [-10000, 0.10994, 3.157e-10 * 36000],
    [-750, 0.20037, 2.817e-5 * 36000],
  ],
} as const;
