import { admitted } from './admitted.ts';

/**
 * Stefan-Boltzmann constant over an hour, MJ K-4 m-2: FAO-56 prints that of a day, ASCE-EWRI 2005 its
 * own rounding.
 */
const SIGMA_HOUR = { fao56: 4.903e-9 / 24, asce2005: 2.042e-10 } as const;

/** Which of the two standards' roundings is used. */
export type Standard = keyof typeof SIGMA_HOUR;

/** Grass reflects this part of the sun's radiation. */
const ALBEDO_FRACTION = 0.23;
const KELVIN_AT_ZERO_C = 273.16;

/**
 * Net short-wave radiation of grass, MJ/m² over the span of the input.
 *
 * Input: solar radiation, MJ/m², 0 to 60. Throws RangeError outside.
 * Source: FAO-56, Eq. 38 (albedo 0.23).
 * Example: 22.07: 17.00 (FAO-56, Example 18).
 */
export function netShortWaveMjPerM2(solarMjPerM2: number): number {
  const Rs = admitted({
    where: 'netShortWaveMjPerM2',
    name: 'solarMjPerM2',
    value: solarMjPerM2,
    least: 0,
    most: 60,
  });
  return (1 - ALBEDO_FRACTION) * Rs;
}

/**
 * How freely the ground sends long-wave radiation to the sky, 0.055 (overcast) to 1 (clear).
 *
 * Input: solar radiation as a part of a clear sky's, taken as 0.3 to 1 whatever comes. Throws
 * RangeError on a negative or unlimited one.
 * Source: ASCE-EWRI 2005, Eq. 18 and 45; FAO-56, Eq. 39.
 * Example: 0.922: 0.894 (FAO-56, Example 19).
 */
export function cloudinessFraction(solarToClearFraction: number): number {
  const ratio = admitted({
    where: 'cloudinessFraction',
    name: 'solarToClearFraction',
    value: solarToClearFraction,
    least: 0,
    most: 1e6,
  });
  return 1.35 * Math.min(1, Math.max(0.3, ratio)) - 0.35;
}

function blackBody(where: string, sigma: number, tempC: number): number {
  const T = admitted({ where, name: 'temperature in °C', value: tempC, least: -80, most: 80 });
  return sigma * (T + KELVIN_AT_ZERO_C) ** 4;
}

function skyWindow(where: string, vapourPressureKPa: number): number {
  const ea = admitted({
    where,
    name: 'vapourPressureKPa',
    value: vapourPressureKPa,
    least: 0,
    most: 20,
  });
  // Beyond 5.9 kPa the fitted line would have the sky warm the ground.
  return Math.max(0, 0.34 - 0.14 * Math.sqrt(ea));
}

/** What long-wave radiation depends on. */
export interface LongWaveState {
  vapourPressureKPa: number;
  /** From `cloudinessFraction`. */
  cloudinessFraction: number;
  standard: Standard;
}

/**
 * Net long-wave radiation lost in an hour, MJ/m², never negative.
 *
 * Inputs: air temperature, -80 to 80 °C; vapour pressure, 0 to 20 kPa; cloudiness, 0.055 to 1.
 * Throws RangeError outside.
 * Source: ASCE-EWRI 2005, Eq. 44; FAO-56, Eq. 39 with the constant over an hour.
 * Example: 38 °C, 3.445 kPa, 0.894: 0.137 (FAO-56, Example 19).
 */
export function netLongWaveHourMjPerM2(state: LongWaveState & { airTempC: number }): number {
  const where = 'netLongWaveHourMjPerM2';
  return (
    blackBody(where, SIGMA_HOUR[state.standard], state.airTempC) *
    skyWindow(where, state.vapourPressureKPa) *
    admitted({
      where,
      name: 'cloudinessFraction',
      value: state.cloudinessFraction,
      least: 0.05,
      most: 1,
    })
  );
}
