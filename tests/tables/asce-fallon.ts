/**
 * Fallon, Nevada (station FALN of the US Bureau of Reclamation's AgriMet): published runs of the
 * standardized equation by Ref-ET (University of Idaho), as carried by the test data of the open
 * library RefET. Hours are stamped at their end in Pacific Standard Time.
 */
export const FALLON = {
  latitudeDeg: 39.4575,
  longitudeDeg: -118.77388,
  elevationM: 1208.5,
} as const;
export const FALLON_ANEMOMETER_M = 3;

export const MJ_PER_M2_IN_A_LANGLEY = 0.041868;
export const M_PER_S_IN_A_MPH = 0.44704;
export const fahrenheitInC = (tempF: number): number => (tempF - 32) / 1.8;

/** [stamp, air °F, dew point °F, wind mph, solar langley, published ETos mm (null: not at hand)]. */
type FallonHour = [number, number, number, number, number, number | null];

/** Observations of 2015-06-30 from 17:00 on: for the clouds of the first night. */
export const FALLON_EVENING_BEFORE: FallonHour[] = [
  [17, 101.0, 39.35, 2.24, 55.48, null],
  [18, 100.4, 38.55, 3.14, 32.8, null],
  [19, 91.9, 46.97, 9.04, 4.24, null],
  [20, 86.0, 51.08, 12.27, 0.88, null],
  [21, 81.7, 53.05, 9.19, 0, null],
  [22, 84.9, 48.35, 7.45, 0, null],
  [23, 78.77, 52.48, 6.1, 0, null],
];

/** 2015-07-01. Published to two decimals. */
export const FALLON_DAY: FallonHour[] = [
  [0, 79.88, 48.31, 5.81, 0, 0.07],
  [1, 75.54, 50.55, 2.99, 0, 0.02],
  [2, 73.3, 52.04, 4.06, 0, 0.03],
  [3, 74.79, 52.49, 5.55, 0, 0.05],
  [4, 69.89, 52.78, 2.03, 0, -0.01],
  [5, 67.34, 52.64, 2.96, 0, 0.0],
  [6, 68.56, 53.23, 2.61, 1.42, 0.01],
  [7, 72.87, 54.35, 3.79, 8.32, 0.05],
  [8, 76.47, 55.17, 3.77, 26.41, 0.25],
  [9, 82.0, 55.18, 4.12, 38.35, 0.38],
  [10, 86.4, 52.49, 5.03, 50.17, 0.52],
  [11, 91.8, 49.36, 3.33, 61.16, 0.61],
  [12, 93.0, 46.29, 5.56, 66.1, 0.71],
  [13, 95.9, 47.41, 5.34, 94.5, 0.95],
  [14, 97.4, 44.04, 3.88, 88.3, 0.87],
  [15, 98.5, 44.08, 4.7, 74.33, 0.76],
  [16, 100.2, 44.15, 5.04, 65.79, 0.7],
  [17, 101.2, 43.14, 5.36, 53.8, 0.6],
  [18, 101.9, 42.0, 3.11, 44.67, 0.44],
  [19, 96.6, 47.1, 2.07, 11.83, 0.08],
  [20, 90.0, 50.2, 11.0, 2.15, 0.17],
  [21, 88.0, 50.57, 6.32, 0, 0.1],
  [22, 84.8, 50.78, 5.77, 0, 0.08],
  [23, 86.4, 49.76, 12.15, 0, 0.16],
];

/** The same day at the daily step, with the library's intermediates. */
export const FALLON_DAILY = {
  dayOfYear: 182,
  highC: fahrenheitInC(102.8),
  lowC: fahrenheitInC(66.65),
  vapourPressureKPa: 1.220667,
  windMPerS: 1.976112,
  solarMjPerM2: 674.07 * MJ_PER_M2_IN_A_LANGLEY,
  published: {
    pressureKPa: 87.807105,
    saturationKPa: 4.674724,
    extraterrestrialMjPerM2: 41.648246,
    slopeKPaPerC: 0.2348858,
    declinationRad: 0.402952,
    turbidClearSkyMjPerM2: 31.565939,
    cloudinessFraction: 0.856986,
    netLongWaveMjPerM2: 6.556534,
    netRadiationMjPerM2: 15.174377,
    /** From the clear sky with moisture. */
    shortEtMm: 7.9422,
    /** From the simple clear sky: with the other one it would be 10.571. */
    tallEtMm: 10.6261,
  },
} as const;

/** The hour ending 11:00 with the library's intermediates; its ET is from the simple clear sky. */
export const FALLON_HOUR = {
  startMs: Date.UTC(2015, 6, 1, 18),
  airTempC: fahrenheitInC(91.8),
  dewPointC: fahrenheitInC(49.36),
  solarMjPerM2: 2.560647,
  windMPerS: 3.33 * M_PER_S_IN_A_MPH,
  published: {
    vapourPressureKPa: 1.19901,
    saturationKPa: 5.093188,
    windAt2mMPerS: 1.370928,
    extraterrestrialMjPerM2: 4.306355,
    turbidClearSkyMjPerM2: 3.350851,
    netLongWaveMjPerM2: 0.228979,
    netRadiationMjPerM2: 1.742719,
    shortEtMm: 0.60635,
    tallEtMm: 0.71964,
  },
} as const;
