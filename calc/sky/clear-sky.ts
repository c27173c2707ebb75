import { admitted } from './admitted.ts';

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
  const Ra = admitted({
    where,
    name: 'extraterrestrialMjPerM2',
    value: extraterrestrialMjPerM2,
    least: 0,
    most: 60,
  });
  const z = admitted({ where, name: 'elevationM', value: elevationM, least: -500, most: 6000 });
  return (0.75 + 2e-5 * z) * Ra;
}

/** A clear sky of known moisture over a known sun. */
export interface TurbidSky {
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
  const Ra = admitted({
    where,
    name: 'extraterrestrialMjPerM2',
    value: sky.extraterrestrialMjPerM2,
    least: 0,
    most: 60,
  });
  const P = admitted({ where, name: 'pressureKPa', value: sky.pressureKPa, least: 30, most: 115 });
  const ea = admitted({
    where,
    name: 'vapourPressureKPa',
    value: sky.vapourPressureKPa,
    least: 0,
    most: 20,
  });
  const sine = admitted({ where, name: 'sunSine', value: sky.sunSine, least: -1, most: 1 });
  const Kt = admitted({
    where,
    name: 'turbidityFraction',
    value: sky.turbidityFraction ?? 1,
    least: 0.5,
    most: 1,
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
    (admitted({ where, name: 'latitudeDeg', value: latitudeDeg, least: -90, most: 90 }) * Math.PI) /
    180;
  const J = admitted({ where, name: 'dayOfYear', value: dayOfYear, least: 1, most: 366 });
  const height = 0.85 + 0.3 * phi * Math.sin((2 * Math.PI * J) / 365 - 1.39) - 0.42 * phi * phi;
  return Math.max(0.1, Math.sin(height));
}
