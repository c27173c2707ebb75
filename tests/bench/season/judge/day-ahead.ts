import type { SiteClock } from '../../../../adapters/site-clock.ts';
import { clearSkyMjPerM2 } from '../../../../calc/sky/solar-radiation.ts';
import { sunOfHour } from '../../../../calc/sky/sun-geometry.ts';
import type { RawHour, SitePlace } from '../../../../calc/sky/weather-hour.ts';
import { seeded } from '../../../seeded.ts';
import { normals } from './normals.ts';

/**
 * Standard deviations of what a day-ahead forecast is wrong by: the usual size of its verification,
 * from memory. Of the daily part; the slow wobble of the hours has a third of each.
 */
const AIR_SD_C = 1.7;
const DEW_POINT_SD_C = 1.7;
/** Of the logarithm. */
const WIND_SD = 0.25;
const SUN_SD = 0.2;
const WOBBLE_PART = 1 / 3;
/** Hours after which a wobble is forgotten to a third. */
const WOBBLE_H = 4;

/**
 * What was foretold of hours that came as they are: each day wrong by one draw for air, dew point,
 * wind and sun, each hour by a slow wobble around it. The errors of the four are drawn apart, and
 * those of two days too.
 *
 * Wind and sun are wrong by a factor of mean one. Dew stays below air and the sun below a clear sky
 * (or below what was measured, where that is brighter): of a clear day too little sun is foretold
 * oftener than too much. Rain is foretold as it came.
 *
 * @param hours complete, in order
 * @param seed of the case, so that every plan of it is given the same forecast
 */
export function dayAheadHours(
  hours: readonly RawHour[],
  { clock, place, seed }: { clock: SiteClock; place: SitePlace; seed: number },
): RawHour[] {
  const airOff = errors(seed + 1, AIR_SD_C);
  const dewPointOff = errors(seed + 2, DEW_POINT_SD_C);
  const windOff = errors(seed + 3, WIND_SD);
  const sunOff = errors(seed + 4, SUN_SD);
  return hours.map((hour) => {
    const day = clock.siteDayOf(hour.startMs);
    const airTempC = (hour.airTempC ?? 0) + airOff(day);
    const dewPointC = Math.min(airTempC, (hour.dewPointC ?? 0) + dewPointOff(day));
    const solarMjPerM2 = hour.solarMjPerM2 ?? 0;
    const sun = sunOfHour({ ...place, startMs: hour.startMs });
    const mostMjPerM2 = Math.max(solarMjPerM2, clearSkyMjPerM2({ ...sun, ...place }));
    return {
      ...hour,
      origin: 'forecast',
      airTempC,
      dewPointC,
      windMPerS: (hour.windMPerS ?? 0) * factor(windOff(day), WIND_SD),
      solarMjPerM2: Math.min(mostMjPerM2, solarMjPerM2 * factor(sunOff(day), SUN_SD)),
    };
  });
}

/** Mean one, whatever the spread. */
function factor(off: number, sd: number): number {
  return Math.exp(off - (sd ** 2 * (1 + WOBBLE_PART ** 2)) / 2);
}

/** The error of one figure, hour after hour: a day's own and a wobble (autoregressive, order one). */
function errors(seed: number, sd: number): (day: string) => number {
  const normal = normals(seeded(seed));
  const kept = Math.exp(-1 / WOBBLE_H);
  let wobble = normal();
  let today = '';
  let ofDay = 0;
  return (day) => {
    if (day !== today) ofDay = normal();
    today = day;
    wobble = kept * wobble + Math.sqrt(1 - kept ** 2) * normal();
    return sd * (ofDay + WOBBLE_PART * wobble);
  };
}
