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

/**
 * Vapour pressure of a day from the extremes of its relative humidity, kPa. The highest humidity
 * belongs to the lowest temperature.
 *
 * Inputs: °C and 0 to 100 %. Throws RangeError outside.
 * Source: FAO-56, Eq. 17.
 * Example: 25 and 18 °C, 82 and 54 %: 1.70 kPa (FAO-56, Example 5).
 */
export function vapourPressureOfHumidityExtremesKPa({
  highC,
  lowC,
  highestPct,
  lowestPct,
}: {
  highC: number;
  lowC: number;
  highestPct: number;
  lowestPct: number;
}): number {
  const where = 'vapourPressureOfHumidityExtremesKPa';
  return (
    (saturationKPa(lowC) * fraction(where, 'highestPct', highestPct) +
      saturationKPa(highC) * fraction(where, 'lowestPct', lowestPct)) /
    2
  );
}

/**
 * Vapour pressure of a day from its mean relative humidity alone, kPa: less certain than the other
 * ways.
 *
 * Inputs: °C and 0 to 100 %. Throws RangeError outside.
 * Source: FAO-56, Eq. 19.
 * Example: 25 and 18 °C, 68 %: 1.78 kPa (FAO-56, Example 5).
 */
export function vapourPressureOfMeanHumidityKPa({
  highC,
  lowC,
  meanPct,
}: {
  highC: number;
  lowC: number;
  meanPct: number;
}): number {
  const where = 'vapourPressureOfMeanHumidityKPa';
  return fraction(where, 'meanPct', meanPct) * ((saturationKPa(highC) + saturationKPa(lowC)) / 2);
}

/** How the air moves over the wet bulb, and the coefficient that goes with it, 1/°C. */
const WET_BULB_COEFFICIENT = {
  /** Drawn past at about 5 m/s. */
  aspirated: 0.000662,
  /** Left to the wind at about 1 m/s. */
  natural: 0.0008,
  /** Still air indoors. */
  indoor: 0.0012,
} as const;

/**
 * Vapour pressure from a dry and a wet bulb, kPa, never below zero.
 *
 * Inputs: °C, the wet bulb not above the dry one; air pressure, kPa. Throws RangeError otherwise.
 * Source: FAO-56, Eq. 15 and 16.
 * Example: 25.6 and 19.5 °C, aspirated, 87.9 kPa: 1.91 kPa (FAO-56, Example 4).
 */
export function vapourPressureOfWetBulbKPa({
  airTempC,
  wetBulbC,
  pressureKPa,
  ventilation,
}: {
  airTempC: number;
  wetBulbC: number;
  pressureKPa: number;
  ventilation: keyof typeof WET_BULB_COEFFICIENT;
}): number {
  const where = 'vapourPressureOfWetBulbKPa';
  const P = admitted({ where, name: 'pressureKPa', value: pressureKPa, least: 30, most: 115 });
  const wet = admitted({ where, name: 'wetBulbC', value: wetBulbC, least: -80, most: airTempC });
  const gammaPsy = WET_BULB_COEFFICIENT[ventilation] * P;
  return Math.max(0, saturationKPa(wet) - gammaPsy * (airTempC - wet));
}
