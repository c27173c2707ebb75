import { requireInRange } from '../input-range.ts';

/**
 * Solar radiation under a clear sky from the elevation alone, MJ/m² over the same span as the
 * input (hour or day).
 *
 * Inputs: radiation above the atmosphere, MJ/m²; metres above the sea, -500 to 6000. Throws
 * RangeError outside.
 * Source: FAO-56, Eq. 37; ASCE-EWRI 2005, Eq. 19 and 47.
 * Example: 41.09 MJ/m² at 100 m: 30.90 (FAO-56, Example 18).
 */
export function clearSkyMjPerM2({
  extraterrestrialMjPerM2,
  elevationM,
}: {
  extraterrestrialMjPerM2: number;
  elevationM: number;
}): number {
  const where = 'clearSkyMjPerM2';
  const Ra = requireInRange({
    where,
    name: 'extraterrestrialMjPerM2',
    value: extraterrestrialMjPerM2,
    lower: 0,
    upper: 60,
  });
  const z = requireInRange({
    where,
    name: 'elevationM',
    value: elevationM,
    lower: -500,
    upper: 6000,
  });
  return (0.75 + 2e-5 * z) * Ra;
}

/** A clear sky of known moisture over a known sun. */
interface TurbidSky {
  extraterrestrialMjPerM2: number;
  pressureKPa: number;
  vapourPressureKPa: number;
  /** Sine of the sun's height: of the hour's middle, or the day's mean from `daySunSine`. */
  sunSine: number;
  /** 1 for clean air, down to 0.5 for very dusty or polluted air. */
  turbidityFraction?: number;
}

/**
 * Solar radiation under a clear sky with the air's moisture and dust, MJ/m² over the same span as
 * the input: direct beam and sky light apart.
 *
 * Inputs: radiation above the atmosphere, MJ/m²; pressure, 30 to 115 kPa; vapour pressure, 0 to
 * 20 kPa; sine of the sun's height, -1 to 1 (nothing at or below 0); turbidity 0.5 to 1. Throws
 * RangeError outside.
 * Source: ASCE-EWRI 2005, appendix D, Eq. D.1 to D.5 (numbers from memory; Allen 1996).
 * Example: Fallon, Nevada, 2015-07-01, the day: 31.566 (Ref-ET's own run).
 */
export function turbidClearSkyMjPerM2(sky: TurbidSky): number {
  const where = 'turbidClearSkyMjPerM2';
  const Ra = requireInRange({
    where,
    name: 'extraterrestrialMjPerM2',
    value: sky.extraterrestrialMjPerM2,
    lower: 0,
    upper: 60,
  });
  const P = requireInRange({
    where,
    name: 'pressureKPa',
    value: sky.pressureKPa,
    lower: 30,
    upper: 115,
  });
  const ea = requireInRange({
    where,
    name: 'vapourPressureKPa',
    value: sky.vapourPressureKPa,
    lower: 0,
    upper: 20,
  });
  const sine = requireInRange({ where, name: 'sunSine', value: sky.sunSine, lower: -1, upper: 1 });
  const Kt = requireInRange({
    where,
    name: 'turbidityFraction',
    value: sky.turbidityFraction ?? 1,
    lower: 0.5,
    upper: 1,
  });
  if (sine <= 0) return 0;
  // Millimetres of water that the air column could rain out.
  const W = 0.14 * ea * P + 2.1;
  const Kb = 0.98 * Math.exp((-0.00146 * P) / (Kt * sine) - 0.075 * (W / sine) ** 0.4);
  const Kd = Kb >= 0.15 ? 0.35 - 0.36 * Kb : 0.18 + 0.82 * Kb;
  return (Kb + Kd) * Ra;
}

/**
 * Sine of the sun's height, averaged over a day by the radiation, 0.1 to 1, for
 * `turbidClearSkyMjPerM2` at the daily step.
 *
 * Inputs: latitude, -90 to 90 degrees; day of the year, 1 to 366. Throws RangeError outside.
 * Source: ASCE-EWRI 2005, appendix D, Eq. D.5 (number from memory).
 */
export function daySunSine({
  latitudeDeg,
  dayOfYear,
}: {
  latitudeDeg: number;
  dayOfYear: number;
}): number {
  const where = 'daySunSine';
  const phi =
    (requireInRange({ where, name: 'latitudeDeg', value: latitudeDeg, lower: -90, upper: 90 }) *
      Math.PI) /
    180;
  const J = requireInRange({ where, name: 'dayOfYear', value: dayOfYear, lower: 1, upper: 366 });
  const height = 0.85 + 0.3 * phi * Math.sin((2 * Math.PI * J) / 365 - 1.39) - 0.42 * phi * phi;
  return Math.max(0.1, Math.sin(height));
}

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
  const N = requireInRange({ where, name: 'daylightH', value: daylightH, lower: 0.01, upper: 24 });
  const n = requireInRange({ where, name: 'sunshineH', value: sunshineH, lower: 0, upper: N });
  const Ra = requireInRange({
    where,
    name: 'extraterrestrialMjPerM2',
    value: extraterrestrialMjPerM2,
    lower: 0,
    upper: 60,
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
  const low = requireInRange({ where, name: 'lowC', value: lowC, lower: -80, upper: 80 });
  const high = requireInRange({ where, name: 'highC', value: highC, lower: low, upper: 80 });
  return Math.min(0.75, RANGE_COEFFICIENT[setting] * Math.sqrt(high - low));
}
