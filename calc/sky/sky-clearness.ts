import { clearSkyMjPerM2 } from './clear-sky.ts';
import { cloudinessFraction } from './net-radiation.ts';
import { sunOfHour } from './sun-hour.ts';
import type { SitePlace, WeatherHour } from './weather-hour.ts';

const DAY_MS = 86_400_000;
/** Below this height of the sun, radiation tells little about the clouds (ASCE-EWRI 2005). */
const LEAST_ELEVATION_RAD = 0.3;
/** FAO-56, p. 75: 0.4-0.6 in humid, 0.7-0.8 in arid climates where nothing was measured. */
const UNKNOWN_CLEARNESS_FRACTION = 0.7;

interface SunlitHour {
  startMs: number;
  telling: boolean;
  solarMjPerM2: number;
  clearMjPerM2: number;
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
 * Inputs: hours in order of time; the place. Throws RangeError when the place is out of range.
 * Source: ASCE-EWRI 2005, Eq. 45 and 46.
 */
export function cloudinessOfHours(
  hours: Pick<WeatherHour, 'startMs' | 'solarMjPerM2'>[],
  place: SitePlace,
): number[] {
  const sunlit = hours.map((hour): SunlitHour => {
    const sun = sunOfHour({ ...place, startMs: hour.startMs });
    return {
      startMs: hour.startMs,
      telling: sun.elevationRad >= LEAST_ELEVATION_RAD,
      solarMjPerM2: hour.solarMjPerM2,
      clearMjPerM2: clearSkyMjPerM2({
        extraterrestrialMjPerM2: sun.extraterrestrialMjPerM2,
        elevationM: place.elevationM,
      }),
    };
  });

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
