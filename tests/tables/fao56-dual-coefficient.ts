/**
 * FAO-56, Example 31: bare loam for ten days after heavy rain. ETo 4.5 mm/day, TEW 20, REW 9, few 1,
 * Kc max 1.20, Kcb 0.15. Printed to 0.01 (ETc to 0.1).
 * [De start, Kr, Ke, E, De end, ETc]
 */
export const DRYING_LOAM: [number, number, number, number, number, number][] = [
  [0.0, 1, 1.05, 4.73, 4.73, 5.4],
  [4.73, 1, 1.05, 4.73, 9.45, 5.4],
  [9.45, 0.96, 1.01, 4.53, 13.98, 5.2],
  [13.98, 0.55, 0.57, 2.59, 16.57, 3.3],
  [16.57, 0.31, 0.33, 1.47, 18.04, 2.1],
  [18.04, 0.18, 0.19, 0.84, 18.88, 1.5],
  [18.88, 0.1, 0.11, 0.48, 19.36, 1.2],
  [19.36, 0.06, 0.06, 0.27, 19.64, 0.9],
  [19.64, 0.03, 0.03, 0.16, 19.79, 0.8],
  [19.79, 0.02, 0.02, 0.09, 19.88, 0.8],
];

/**
 * FAO-56, Example 35: ten days of dual coefficient on sandy loam. The text of 1998 rounds on its way
 * and its day 3 contradicts itself (an erratum of 2006 corrects it), so `exact` is an independent
 * recomputation held to 0.005; `quoted` is the table of a USGS hydrologic model's tests, which give
 * Kr, Ke (2 decimals) and ETc (1 decimal).
 */
export interface DualRow {
  referenceEtMm: number;
  exposedWettedFraction: number;
  basalCoefficient: number;
  exact: {
    startMm: number;
    drying: number;
    evaporation: number;
    endMm: number;
    soilMm: number;
    cropMm: number;
  };
  quoted: { drying: number; evaporation: number; cropMm: number };
}

const row = (
  [referenceEtMm, exposedWettedFraction, basalCoefficient]: [number, number, number],
  [startMm, drying, evaporation, endMm, soilMm, cropMm]: [
    number,
    number,
    number,
    number,
    number,
    number,
  ],
  [quotedDrying, quotedEvaporation, quotedCropMm]: [number, number, number],
): DualRow => ({
  referenceEtMm,
  exposedWettedFraction,
  basalCoefficient,
  exact: { startMm, drying, evaporation, endMm, soilMm, cropMm },
  quoted: { drying: quotedDrying, evaporation: quotedEvaporation, cropMm: quotedCropMm },
});

export const DUAL_ROWS: DualRow[] = [
  row([4.5, 0.8, 0.3], [0, 1, 0.912, 5.13, 4.104, 5.454], [1, 0.91, 5.5]),
  row([5.0, 0.8, 0.31], [5.13, 1, 0.902, 10.768, 4.51, 6.06], [1, 0.9, 6.1]),
  row([3.9, 0.8, 0.32], [10.768, 0.723, 0.645, 13.913, 2.516, 3.764], [0.72, 0.64, 3.8]),
  row([4.2, 0.8, 0.33], [13.913, 0.409, 0.36, 15.805, 1.514, 2.9], [0.41, 0.36, 2.9]),
  row([4.8, 0.8, 0.34], [15.805, 0.219, 0.191, 16.954, 0.919, 2.551], [0.22, 0.19, 2.6]),
  row([2.7, 0.89, 0.36], [10.954, 0.705, 0.6, 12.775, 1.621, 2.593], [0.71, 0.6, 2.6]),
  row([5.8, 0.88, 0.37], [12.775, 0.522, 0.44, 15.675, 2.552, 4.698], [0.52, 0.44, 4.7]),
  row([5.1, 0.87, 0.38], [15.675, 0.233, 0.193, 16.809, 0.987, 2.925], [0.23, 0.19, 2.9]),
  row([4.7, 0.87, 0.39], [16.809, 0.119, 0.098, 17.338, 0.46, 2.293], [0.12, 0.1, 2.3]),
  row([5.2, 0.86, 0.4], [17.338, 0.066, 0.054, 17.663, 0.28, 2.36], [0.07, 0.05, 2.4]),
];

/** FAO-56, Eq. 72 with 1.2, quoted by the same tests: [wind, lowest humidity, height, Kc max]. */
export const UPPER_COEFFICIENT_POINTS: [number, number, number, number][] = [
  [1.6, 35, 0.3, 1.212028],
  [1, 40, 1, 1.185616],
  [3, 60, 1, 1.185616],
  [5, 40, 3, 1.34],
];
