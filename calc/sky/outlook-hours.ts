import { requireInRange } from '../input-range.ts';
import {
  type Setting,
  solarFromSunshineMjPerM2,
  transmissionFromRangeFraction,
} from './solar-radiation.ts';
import { sunOfHour } from './sun-geometry.ts';
import { type SunTimes, sunTimes } from './sun-times.ts';
import type { HourOrigin, RawHour, SitePlace } from './weather-hour.ts';

const HOUR_MS = 3_600_000;
/** The hottest moment, after solar noon. */
const HOTTEST_AFTER_NOON_MS = 2 * HOUR_MS;
/** How long the wind takes to fall after sunset. */
const WIND_AFTER_SUNSET_MS = 2 * HOUR_MS;

/** A day's weather in a few figures. */
export interface DayOutlook {
  /** First instant of the local day and of the next; whole hours apart, 20 to 28. */
  dayStartMs: number;
  dayEndMs: number;
  origin: HourOrigin;
  highC: number;
  lowC: number;
  /** Mean over the day. */
  windMPerS: number;
  windHeightM: number;
  /** Sum over the day. */
  rainMm: number;
  /** When it rains; null spreads the rain over the whole day. */
  rainWindow?: { startMs: number; endMs: number } | null;
  /** Null: taken as the low. */
  dewPointC?: number | null;
  /** Sum over the day; null: from the cloud, or else from the temperature range. */
  solarMjPerM2?: number | null;
  /** Part of the daylight without sunshine, 0 to 1; used when no solar radiation is given. */
  cloudFraction?: number | null;
  place: SitePlace;
  /** Land or shore, for the radiation from the temperature range. Default: interior. */
  setting?: Setting;
}

/** How warm each hour is between the low (0) and the high (1), its extremes exactly met. */
function warmth(middlesMs: number[], sun: SunTimes): number[] {
  const hottestMs = sun.noonMs + HOTTEST_AFTER_NOON_MS;
  // Without a sunrise the coolest moment is that of an equinox, or of the sun's lowest stand.
  const coolestMs = sun.sunriseMs ?? sun.noonMs - (sun.always === 'day' ? 12 : 6) * HOUR_MS;
  const nextCoolestMs = coolestMs + 24 * HOUR_MS;
  const raw = middlesMs.map((middleMs) => {
    if (middleMs >= coolestMs && middleMs < hottestMs) {
      return (1 - Math.cos((Math.PI * (middleMs - coolestMs)) / (hottestMs - coolestMs))) / 2;
    }
    const atMs = middleMs < coolestMs ? middleMs + 24 * HOUR_MS : middleMs;
    const share = Math.min(1, (atMs - hottestMs) / (nextCoolestMs - hottestMs));
    return (1 + Math.cos(Math.PI * share)) / 2;
  });
  const least = Math.min(...raw);
  const most = Math.max(...raw);
  return raw.map((value) => (value - least) / (most - least));
}

/** Shape of the wind, 1 at night, 1 + π/2 at its peak: by day twice the night's mean. */
function windShape(middleMs: number, sun: SunTimes): number {
  if (sun.sunriseMs === null || sun.sunsetMs === null) return 1;
  const fallMs = sun.sunsetMs + WIND_AFTER_SUNSET_MS;
  const share = (middleMs - sun.sunriseMs) / (fallMs - sun.sunriseMs);
  return share > 0 && share < 1 ? 1 + (Math.PI / 2) * Math.sin(Math.PI * share) : 1;
}

function daySolarMjPerM2(outlook: DayOutlook, extraterrestrialMjPerM2: number): number {
  const where = 'outlookHours';
  const given = outlook.solarMjPerM2 ?? null;
  if (given !== null) {
    return requireInRange({
      where,
      name: 'solarMjPerM2',
      value: given,
      lower: 0,
      upper: extraterrestrialMjPerM2,
    });
  }
  const cloud = outlook.cloudFraction ?? null;
  if (cloud === null) return transmissionFromRangeFraction(outlook) * extraterrestrialMjPerM2;
  const sunshineH =
    1 - requireInRange({ where, name: 'cloudFraction', value: cloud, lower: 0, upper: 1 });
  return solarFromSunshineMjPerM2({ extraterrestrialMjPerM2, sunshineH, daylightH: 1 });
}

function wholeHours({ dayStartMs, dayEndMs }: DayOutlook): number[] {
  const count = (dayEndMs - dayStartMs) / HOUR_MS;
  if (!Number.isInteger(count) || count < 20 || count > 28) {
    throw new RangeError(
      `outlookHours: not a day of whole hours (got ${count} h); give the first instants of a local day and of the next`,
    );
  }
  return Array.from({ length: count }, (_, index) => dayStartMs + index * HOUR_MS);
}

/** Part of each hour that lies in a window, 0 to 1. */
function overlap(startMs: number, window: { startMs: number; endMs: number }): number {
  const from = Math.max(startMs, window.startMs);
  const to = Math.min(startMs + HOUR_MS, window.endMs);
  return Math.max(0, to - from) / HOUR_MS;
}

/**
 * The hours of a day from its outlook. The day's high and low, its mean wind, its rain and its
 * radiation come back exactly, on days of 23, 24 and 25 hours alike.
 *
 * - temperature: two half cosines, from the low at sunrise up to the high two hours after solar noon
 *   and down to the next sunrise (de Wit et al. 1978, from memory), stretched so that the hours meet
 *   high and low;
 * - dew point: as given, or the low (FAO-56, Eq. 48); never above the hour's temperature;
 * - solar radiation: as given, or from cloud (FAO-56, Eq. 35, sunshine = 1 - cloud), or from the
 *   temperature range (FAO-56, Eq. 50), shared out by each hour's radiation above the atmosphere;
 * - wind: steady at night, a half sine from sunrise to two hours after sunset, by day twice the
 *   night's mean (the ratio of FAO-24 from memory, the shape common practice without a source);
 * - rain: evenly over its window or over the whole day.
 *
 * Inputs: see `DayOutlook`; temperatures, -80 to 80 °C; wind, 0 to 120 m/s; rain, 0 to 2000 mm.
 * Throws RangeError outside, when the high is below the low, when the day is not made of whole
 * hours, or when the rain's window lies outside of the day.
 */
export function outlookHours(outlook: DayOutlook): RawHour[] {
  const where = 'outlookHours';
  const { place, origin, windHeightM, dayStartMs, dayEndMs } = outlook;
  const lowC = requireInRange({ where, name: 'lowC', value: outlook.lowC, lower: -80, upper: 80 });
  const highC = requireInRange({
    where,
    name: 'highC',
    value: outlook.highC,
    lower: lowC,
    upper: 80,
  });
  const wind = requireInRange({
    where,
    name: 'windMPerS',
    value: outlook.windMPerS,
    lower: 0,
    upper: 120,
  });
  const rain = requireInRange({
    where,
    name: 'rainMm',
    value: outlook.rainMm,
    lower: 0,
    upper: 2000,
  });
  const dew = outlook.dewPointC ?? null;
  const dewPoint =
    dew === null
      ? lowC
      : requireInRange({ where, name: 'dewPointC', value: dew, lower: -80, upper: 80 });

  const starts = wholeHours(outlook);
  const middles = starts.map((startMs) => startMs + HOUR_MS / 2);
  const sun = sunTimes({ ...place, dayStartMs });
  const warm = warmth(middles, sun);
  const above = starts.map((startMs) => sunOfHour({ ...place, startMs }).extraterrestrialMjPerM2);
  const aboveDay = above.reduce((sum, value) => sum + value, 0);
  const solarDay = daySolarMjPerM2(outlook, aboveDay);
  const shapes = middles.map((middleMs) => windShape(middleMs, sun));
  const meanShape = shapes.reduce((sum, value) => sum + value, 0) / shapes.length;
  const window = outlook.rainWindow ?? { startMs: dayStartMs, endMs: dayEndMs };
  if (
    !(window.startMs >= dayStartMs && window.endMs <= dayEndMs && window.endMs > window.startMs)
  ) {
    throw new RangeError(
      `${where}: rain outside of the day (got ${window.startMs} to ${window.endMs}); give a window within the day`,
    );
  }
  const windowH = (window.endMs - window.startMs) / HOUR_MS;

  return starts.map((startMs, index) => {
    const airTempC = lowC + (highC - lowC) * (warm[index] ?? 0);
    return {
      startMs,
      origin,
      airTempC,
      dewPointC: Math.min(dewPoint, airTempC),
      relativeHumidityPct: null,
      windMPerS: (wind * (shapes[index] ?? 1)) / meanShape,
      windHeightM,
      solarMjPerM2: aboveDay > 0 ? (solarDay * (above[index] ?? 0)) / aboveDay : 0,
      rainMm: (rain * overlap(startMs, window)) / windowH,
    };
  });
}
