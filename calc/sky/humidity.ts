import { admitted } from './admitted.ts';
import { saturationKPa } from './air.ts';

function fraction(where: string, name: string, value: number): number {
  return admitted({ where, name, value, least: 0, most: 100 }) / 100;
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
  const ea = admitted({
    where: 'dewPointC',
    name: 'vapourPressureKPa',
    value: vapourPressureKPa,
    least: 0.001,
    most: 40,
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
