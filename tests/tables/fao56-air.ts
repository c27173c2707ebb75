/**
 * FAO-56, Annex 2, Tables 2.2, 2.3, 2.4, 2.8 and 2.9, as [input, printed value]; held to half of the
 * last printed digit.
 */
export const PSYCHROMETRIC_BY_ELEVATION: [number, number][] = [
  [0, 0.067],
  [100, 0.067],
  [500, 0.064],
  [1000, 0.06],
  [1500, 0.056],
  [2000, 0.053],
  [3000, 0.047],
];

export const SATURATION_KPA_BY_C: [number, number][] = [
  [1, 0.657],
  [5, 0.872],
  [10, 1.228],
  [15, 1.705],
  [20, 2.338],
  [25, 3.168],
  [30, 4.243],
  [35, 5.623],
  [40, 7.376],
];

export const SLOPE_KPA_PER_C_BY_C: [number, number][] = [
  [1, 0.047],
  [5, 0.061],
  [10, 0.082],
  [15, 0.11],
  [20, 0.145],
  [25, 0.189],
  [30, 0.243],
  [35, 0.311],
  [40, 0.393],
];

export const WIND_FACTOR_BY_HEIGHT_M: [number, number][] = [
  [1, 1.178],
  [2, 1],
  [3, 0.921],
  [5, 0.838],
  [10, 0.748],
];

/** Independent recomputation of FAO-56, Eq. 7, in the elevations of Table 2.1. */
export const PRESSURE_KPA_BY_ELEVATION: [number, number][] = [
  [0, 101.3],
  [100, 100.1],
  [500, 95.5],
  [1000, 90.0],
  [1500, 84.8],
  [2000, 79.8],
  [3000, 70.5],
];

/**
 * ASCE-EWRI 2005, Tables C-2 and C-3 (Greeley, Colorado), as quoted by an open library's tests:
 * mean temperature and slope.
 */
export const GREELEY_SLOPE_KPA_PER_C_BY_C: [number, number][] = [
  [21.65, 0.1585],
  [22.9, 0.1692],
  [23.7, 0.1762],
  [22.8, 0.1684],
  [24.3, 0.182],
  [26, 0.199],
  [26.1, 0.1996],
  [26.4, 0.2027],
  [23.9, 0.1781],
  [24.2, 0.1809],
];
