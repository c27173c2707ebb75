import { admitted } from './admitted.ts';

function admittedAirC(where: string, value: number): number {
  return admitted({ where, name: 'temperature in °C', value, least: -80, most: 80 });
}

/**
 * Air pressure at an elevation, kPa, in a standard atmosphere of 20 °C at sea level.
 *
 * Input: metres above the sea, -500 to 6000. Throws RangeError outside.
 * Source: FAO-56, Eq. 7; ASCE-EWRI 2005, Eq. 3 (the same equation in both).
 * Example: 1800 m: 81.8 kPa (FAO-56, Example 2).
 */
export function airPressureKPa(elevationM: number): number {
  const z = admitted({
    where: 'airPressureKPa',
    name: 'elevationM',
    value: elevationM,
    least: -500,
    most: 6000,
  });
  return 101.3 * ((293 - 0.0065 * z) / 293) ** 5.26;
}

/**
 * Psychrometric constant, kPa/°C.
 *
 * Input: air pressure, 30 to 115 kPa. Throws RangeError outside.
 * Source: FAO-56, Eq. 8 (latent heat 2.45 MJ/kg); ASCE-EWRI 2005, Eq. 4.
 * Example: 81.8 kPa: 0.054 (FAO-56, Example 2).
 */
export function psychrometricKPaPerC(pressureKPa: number): number {
  const P = admitted({
    where: 'psychrometricKPaPerC',
    name: 'pressureKPa',
    value: pressureKPa,
    least: 30,
    most: 115,
  });
  return 0.000665 * P;
}

/**
 * Saturation vapour pressure over water, kPa.
 *
 * Input: temperature, -80 to 80 °C. Throws RangeError outside.
 * Source: FAO-56, Eq. 11.
 * Example: 24.5 °C: 3.075 kPa (FAO-56, Example 3).
 */
export function saturationKPa(tempC: number): number {
  const T = admittedAirC('saturationKPa', tempC);
  return 0.6108 * Math.exp((17.27 * T) / (T + 237.3));
}

/**
 * Slope of the saturation vapour pressure curve, kPa/°C.
 *
 * Input: temperature, -80 to 80 °C. Throws RangeError outside.
 * Source: ASCE-EWRI 2005, Eq. 5; FAO-56, Eq. 13 (4098 x 0.6108 = 2503).
 * Example: 30 °C: 0.243 (FAO-56, Annex 2, Table 2.4).
 */
export function saturationSlopeKPaPerC(tempC: number): number {
  const T = admittedAirC('saturationSlopeKPaPerC', tempC);
  return (2503 * Math.exp((17.27 * T) / (T + 237.3))) / (T + 237.3) ** 2;
}
