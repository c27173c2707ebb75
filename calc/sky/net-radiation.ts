import { requireInRange } from '../input-range.ts';
import { clearSkyMjPerM2 } from './solar-radiation.ts';
import { sunOfHour } from './sun-geometry.ts';
import type { SitePlace, WeatherHour } from './weather-hour.ts';

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
  const Rs = requireInRange({
    where: 'netShortWaveMjPerM2',
    name: 'solarMjPerM2',
    value: solarMjPerM2,
    lower: 0,
    upper: 60,
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
  const ratio = requireInRange({
    where: 'cloudinessFraction',
    name: 'solarToClearFraction',
    value: solarToClearFraction,
    lower: 0,
    upper: 1e6,
  });
  return 1.35 * Math.min(1, Math.max(0.3, ratio)) - 0.35;
}

function blackBody(where: string, sigma: number, tempC: number): number {
  const T = requireInRange({
    where,
    name: 'temperature in °C',
    value: tempC,
    lower: -80,
    upper: 80,
  });
  return sigma * (T + KELVIN_AT_ZERO_C) ** 4;
}

function skyWindow(where: string, vapourPressureKPa: number): number {
  const ea = requireInRange({
    where,
    name: 'vapourPressureKPa',
    value: vapourPressureKPa,
    lower: 0,
    upper: 20,
  });
  // Beyond 5.9 kPa the fitted line would have the sky warm the ground.
  return Math.max(0, 0.34 - 0.14 * Math.sqrt(ea));
}

/** What long-wave radiation depends on. */
interface LongWaveState {
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
    requireInRange({
      where,
      name: 'cloudinessFraction',
      value: state.cloudinessFraction,
      lower: 0.05,
      upper: 1,
    })
  );
}

const DAY_MS = 86_400_000;
/** Below this height of the sun, radiation tells little about the clouds (ASCE-EWRI 2005). */
const LEAST_ELEVATION_RAD = 0.3;
/** FAO-56, p. 75: 0.4-0.6 in humid, 0.7-0.8 in arid climates where nothing was measured. */
const UNKNOWN_CLEARNESS_FRACTION = 0.7;

/** What the sun's path alone says of an hour. */
export interface SkyHour {
  startMs: number;
  /** The sun stands high enough for radiation to tell of clouds. */
  telling: boolean;
  clearMjPerM2: number;
}

/** The sky over each of the hours; the place is checked. */
export function skyOfHours(
  hours: readonly Pick<WeatherHour, 'startMs'>[],
  place: SitePlace,
): SkyHour[] {
  return hours.map(({ startMs }) => {
    const sun = sunOfHour({ ...place, startMs });
    return {
      startMs,
      telling: sun.elevationRad >= LEAST_ELEVATION_RAD,
      clearMjPerM2: clearSkyMjPerM2({
        extraterrestrialMjPerM2: sun.extraterrestrialMjPerM2,
        elevationM: place.elevationM,
      }),
    };
  });
}

interface SunlitHour extends SkyHour {
  solarMjPerM2: number;
}

/** Measured over clear-sky radiation, summed over a stretch of the series; null without sun. */
function clearnessBetween(hours: SunlitHour[], fromMs: number, toMs: number): number | null {
  let solarMjPerM2 = 0;
  let clearMjPerM2 = 0;
  for (const hour of hours) {
    if (hour.startMs < fromMs || hour.startMs >= toMs) continue;
    solarMjPerM2 += hour.solarMjPerM2;
    clearMjPerM2 += hour.clearMjPerM2;
  }
  return clearMjPerM2 > 0 ? solarMjPerM2 / clearMjPerM2 : null;
}

/**
 * Cloudiness of each hour of a series, 0.055 (overcast) to 1 (clear), in the order given.
 *
 * An hour whose middle sees the sun at 0.3 rad or higher tells its own; a lower sun and the night
 * keep that of the last hour that told, as the standard says. The standard is silent where no such
 * hour lies within a day before (the beginning of a series, a high latitude's winter): there the
 * clearness of the day before counts as a whole, then that of the day after, then 0.7 (our choice).
 *
 * Inputs: hours in order of time; the place; the sky over the same hours, where it is at hand. Throws
 * RangeError when the place is out of range.
 * Source: ASCE-EWRI 2005, Eq. 45 and 46.
 */
export function cloudinessOfHours(
  hours: readonly Pick<WeatherHour, 'startMs' | 'solarMjPerM2'>[],
  place: SitePlace,
  sky: readonly SkyHour[] = skyOfHours(hours, place),
): number[] {
  const sunlit = sky.map(
    ({ startMs, telling, clearMjPerM2 }, index): SunlitHour => ({
      startMs,
      telling,
      clearMjPerM2,
      solarMjPerM2: hours[index]?.solarMjPerM2 ?? 0,
    }),
  );

  let told: { atMs: number; fraction: number } | null = null;
  return sunlit.map((hour, index) => {
    if (hour.telling) {
      told = {
        atMs: hour.startMs,
        fraction: cloudinessFraction(hour.solarMjPerM2 / hour.clearMjPerM2),
      };
      return told.fraction;
    }
    if (told !== null && hour.startMs - told.atMs < DAY_MS) return told.fraction;
    const nearby = sunlit.slice(Math.max(0, index - 25), index + 26);
    const clearness =
      clearnessBetween(nearby, hour.startMs - DAY_MS, hour.startMs) ??
      clearnessBetween(nearby, hour.startMs, hour.startMs + DAY_MS) ??
      UNKNOWN_CLEARNESS_FRACTION;
    return cloudinessFraction(clearness);
  });
}
