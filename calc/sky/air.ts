import { requireInRange } from '../input-range.ts';

function requireAirTempC(where: string, value: number): number {
  return requireInRange({ where, name: 'temperature in °C', value, lower: -80, upper: 80 });
}

/**
 * Air pressure at an elevation, kPa, in a standard atmosphere of 20 °C at sea level.
 *
 * Input: metres above the sea, -500 to 6000. Throws RangeError outside.
 * Source: FAO-56, Eq. 7; ASCE-EWRI 2005, Eq. 3 (the same equation in both).
 * Example: 1800 m: 81.8 kPa (FAO-56, Example 2).
 */
export function airPressureKPa(elevationM: number): number {
  const z = requireInRange({
    where: 'airPressureKPa',
    name: 'elevationM',
    value: elevationM,
    lower: -500,
    upper: 6000,
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
  const P = requireInRange({
    where: 'psychrometricKPaPerC',
    name: 'pressureKPa',
    value: pressureKPa,
    lower: 30,
    upper: 115,
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
  const T = requireAirTempC('saturationKPa', tempC);
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
  const T = requireAirTempC('saturationSlopeKPaPerC', tempC);
  return (2503 * Math.exp((17.27 * T) / (T + 237.3))) / (T + 237.3) ** 2;
}

function fraction(where: string, name: string, value: number): number {
  return requireInRange({ where, name, value, lower: 0, upper: 100 }) / 100;
}

/**
 * Vapour pressure from the dew point, kPa.
 *
 * Input: dew point, -80 to 80 °C. Throws RangeError outside.
 * Source: FAO-56, Eq. 14.
 * Example: 14.8 °C: 1.68 kPa (FAO-56, Example 20).
 */
export function vapourPressureOfDewPointKPa(dewPointC: number): number {
  return saturationKPa(dewPointC);
}

/**
 * Dew point from the vapour pressure, °C: the inverse of FAO-56, Eq. 14.
 *
 * Input: vapour pressure, 0.001 to 40 kPa. Throws RangeError outside.
 */
export function dewPointC(vapourPressureKPa: number): number {
  const ea = requireInRange({
    where: 'dewPointC',
    name: 'vapourPressureKPa',
    value: vapourPressureKPa,
    lower: 0.001,
    upper: 40,
  });
  const x = Math.log(ea / 0.6108);
  return (237.3 * x) / (17.27 - x);
}

/**
 * Vapour pressure of an hour from its relative humidity, kPa.
 *
 * Inputs: air temperature, °C; relative humidity, 0 to 100 %. Throws RangeError outside.
 * Source: FAO-56, Eq. 54.
 * Example: 38 °C and 52 %: 3.445 kPa (FAO-56, Example 19).
 */
export function vapourPressureOfHumidityKPa({
  airTempC,
  relativeHumidityPct,
}: {
  airTempC: number;
  relativeHumidityPct: number;
}): number {
  const where = 'vapourPressureOfHumidityKPa';
  return saturationKPa(airTempC) * fraction(where, 'relativeHumidityPct', relativeHumidityPct);
}

/**
 * Wind at 2 m above clipped grass from wind at another height, m/s.
 *
 * Logarithmic profile over short grass: over bare, built or wooded ground it only estimates.
 * Inputs: wind, 0 to 120 m/s; height of the anemometer, 0.5 to 200 m. Throws RangeError outside.
 * Source: FAO-56, Eq. 47; ASCE-EWRI 2005, Eq. 33.
 * Example: 3.2 m/s at 10 m: 2.4 m/s (FAO-56, Example 14).
 */
export function windAt2mMPerS({
  windMPerS,
  heightM,
}: {
  windMPerS: number;
  heightM: number;
}): number {
  const where = 'windAt2mMPerS';
  const uz = requireInRange({ where, name: 'windMPerS', value: windMPerS, lower: 0, upper: 120 });
  const z = requireInRange({ where, name: 'heightM', value: heightM, lower: 0.5, upper: 200 });
  // The published coefficients give 1.0002 at 2 m: what is measured there stays as it is.
  if (z === 2) return uz;
  return (uz * 4.87) / Math.log(67.8 * z - 5.42);
}
