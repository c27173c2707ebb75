import { admitted } from './admitted.ts';

/**
 * Solar radiation of a day from its hours of sunshine, MJ/m².
 *
 * Inputs: radiation above the atmosphere, MJ/m²; sunshine and daylight, hours, sunshine from 0 to
 * daylight; daylight above 0. Throws RangeError outside.
 * Source: FAO-56, Eq. 35 (Ångström, as = 0.25, bs = 0.50).
 * Example: 25.1 MJ/m², 7.1 of 10.9 h: 14.5 (FAO-56, Example 10).
 */
export function solarFromSunshineMjPerM2({
  extraterrestrialMjPerM2,
  sunshineH,
  daylightH,
}: {
  extraterrestrialMjPerM2: number;
  sunshineH: number;
  daylightH: number;
}): number {
  const where = 'solarFromSunshineMjPerM2';
  const N = admitted({ where, name: 'daylightH', value: daylightH, least: 0.01, most: 24 });
  const n = admitted({ where, name: 'sunshineH', value: sunshineH, least: 0, most: N });
  const Ra = admitted({
    where,
    name: 'extraterrestrialMjPerM2',
    value: extraterrestrialMjPerM2,
    least: 0,
    most: 60,
  });
  return (0.25 + (0.5 * n) / N) * Ra;
}

/** Land or shore: air that a large water body tempers swings less under the same sun. */
export type Setting = 'interior' | 'coastal';

const RANGE_COEFFICIENT: Record<Setting, number> = { interior: 0.16, coastal: 0.19 };

/**
 * Part of the radiation above the atmosphere that reaches the ground, from the day's temperature
 * range, 0 to 0.75 (a clear sky at sea level).
 *
 * Inputs: high and low of the day, °C, the high not below the low. Throws RangeError otherwise.
 * Source: FAO-56, Eq. 50 (Hargreaves): kRs √(Tmax - Tmin), kRs 0.16 inland and 0.19 on the coast.
 * Example: 26.6 and 14.8 °C inland: 0.55 (FAO-56, Example 20).
 */
export function transmissionFromRangeFraction({
  highC,
  lowC,
  setting = 'interior',
}: {
  highC: number;
  lowC: number;
  setting?: Setting;
}): number {
  const where = 'transmissionFromRangeFraction';
  const low = admitted({ where, name: 'lowC', value: lowC, least: -80, most: 80 });
  const high = admitted({ where, name: 'highC', value: highC, least: low, most: 80 });
  return Math.min(0.75, RANGE_COEFFICIENT[setting] * Math.sqrt(high - low));
}
