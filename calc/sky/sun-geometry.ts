import { requireInRange } from '../input-range.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** An hour at a place. */
interface HourAtPlace {
  /** Beginning of the hour, epoch milliseconds. */
  startMs: number;
  latitudeDeg: number;
  /** Degrees, east positive. */
  longitudeDeg: number;
}

/** Where the sun stands in an hour, and what it sends. */
interface SunHour {
  /** Day of the year by the place's mean solar time at the middle of the hour. */
  dayOfYear: number;
  /** Hour angle at the middle of the hour, rad, 0 at solar noon. */
  hourAngleRad: number;
  /** Hour angle of sunset of that day, rad. */
  sunsetAngleRad: number;
  /** Height of the sun at the middle of the hour, rad, negative at night. */
  elevationRad: number;
  /** Radiation above the atmosphere over the hour, MJ/m². */
  extraterrestrialMjPerM2: number;
}

/**
 * Beginning of the mean solar day that holds an instant, epoch ms: the day used wherever a
 * procedure speaks of a day and no time zone is at hand.
 *
 * Input: longitude, degrees, east positive, -180 to 180.
 */
export function solarDayStartMs(atMs: number, longitudeDeg: number): number {
  const aheadMs = (longitudeDeg / 15) * HOUR_MS;
  return Math.floor((atMs + aheadMs) / DAY_MS) * DAY_MS - aheadMs;
}

/**
 * The sun over one hour, from the instant and the longitude alone: no time zone and no clock
 * change enters.
 *
 * Inputs: beginning of the hour, epoch ms; latitude -90 to 90 and longitude -180 to 180 degrees.
 * Throws RangeError outside.
 * Source: FAO-56, Eq. 28 to 33, with the clock time and its zone replaced by universal time and
 * the distance from Greenwich.
 * Example: 16°13' N, 16°15' W, 1 October, 15:00 UTC (14-15 h in a zone one hour behind): hour angle
 * 0.682, 3.543 MJ/m² (FAO-56, Example 19).
 */
export function sunOfHour({ startMs, latitudeDeg, longitudeDeg }: HourAtPlace): SunHour {
  const where = 'sunOfHour';
  // The first and last instants that a Date can hold.
  requireInRange({
    where,
    name: 'startMs',
    value: startMs,
    lower: -8.64e15,
    upper: 8.64e15 - DAY_MS,
  });
  requireInRange({ where, name: 'longitudeDeg', value: longitudeDeg, lower: -180, upper: 180 });

  const middleMs = startMs + HOUR_MS / 2;
  const dayStartMs = solarDayStartMs(middleMs, longitudeDeg);
  const solarDate = new Date(Math.round(dayStartMs + (longitudeDeg / 15) * HOUR_MS));
  const yearStartMs = Date.UTC(solarDate.getUTCFullYear(), 0, 1);
  const dayOfYear = 1 + Math.round((solarDate.getTime() - yearStartMs) / DAY_MS);

  const solarTimeH = (middleMs - dayStartMs) / HOUR_MS + seasonalCorrectionH(dayOfYear);
  const hourAngleRad = (Math.PI / 12) * (solarTimeH - 12);
  const halfHourRad = Math.PI / 24;
  const day = { latitudeDeg, dayOfYear };
  return {
    dayOfYear,
    hourAngleRad,
    sunsetAngleRad: sunsetHourAngleRad(day),
    elevationRad: sunElevationRad({ ...day, hourAngleRad }),
    extraterrestrialMjPerM2: extraterrestrialMjPerM2({
      ...day,
      fromRad: hourAngleRad - halfHourRad,
      toRad: hourAngleRad + halfHourRad,
    }),
  };
}

/** Solar constant over a minute, 0.0820 MJ m-2 min-1 (FAO-56 Eq. 21). */
const SOLAR_CONSTANT_MJ_PER_M2_MIN = 0.082;

/** A day of the year at a latitude. */
interface SunDay {
  /** Degrees, north positive, -90 to 90. */
  latitudeDeg: number;
  /** 1 on 1 January, 1 to 366. */
  dayOfYear: number;
}

function requireDayOfYear(where: string, dayOfYear: number): number {
  return requireInRange({ where, name: 'dayOfYear', value: dayOfYear, lower: 1, upper: 366 });
}

function latitudeRad(where: string, latitudeDeg: number): number {
  const admittedDeg = requireInRange({
    where,
    name: 'latitudeDeg',
    value: latitudeDeg,
    lower: -90,
    upper: 90,
  });
  return (admittedDeg * Math.PI) / 180;
}

/**
 * Inverse relative distance from the earth to the sun, no unit, 0.967 to 1.033.
 *
 * Input: day of the year, 1 to 366. Throws RangeError outside.
 * Source: Allen et al. 1998, FAO-56, Eq. 23.
 * Example: 3 September, day 246: 0.985 (FAO-56, Example 8).
 */
export function inverseSunDistance(dayOfYear: number): number {
  const J = requireDayOfYear('inverseSunDistance', dayOfYear);
  return 1 + 0.033 * Math.cos((2 * Math.PI * J) / 365);
}

/**
 * Solar declination, rad, north positive, within ±0.409.
 *
 * Input: day of the year, 1 to 366. Throws RangeError outside.
 * Source: FAO-56, Eq. 24.
 * Example: day 246: 0.120 rad (FAO-56, Example 8).
 */
export function declinationRad(dayOfYear: number): number {
  const J = requireDayOfYear('declinationRad', dayOfYear);
  return 0.409 * Math.sin((2 * Math.PI * J) / 365 - 1.39);
}

/**
 * Hour angle of sunset, rad, 0 (polar night) to π (polar day).
 *
 * For the centre of the sun on a flat horizon without refraction: the day runs about ten minutes
 * shorter than the almanac's. Throws RangeError when latitude or day are out of range.
 * Source: FAO-56, Eq. 25, held to the polar limits.
 * Example: 20° S, day 246: 1.527 rad (FAO-56, Example 8).
 */
export function sunsetHourAngleRad({ latitudeDeg, dayOfYear }: SunDay): number {
  const phi = latitudeRad('sunsetHourAngleRad', latitudeDeg);
  const delta = declinationRad(dayOfYear);
  const cosine = -Math.tan(phi) * Math.tan(delta);
  return Math.acos(Math.min(1, Math.max(-1, cosine)));
}

/**
 * Hours of daylight, 0 to 24 h, of the geometric sun (see `sunsetHourAngleRad`).
 *
 * Source: FAO-56, Eq. 34.
 * Example: 20° S, day 246: 11.7 h (FAO-56, Example 9).
 */
export function daylightH(day: SunDay): number {
  return (24 / Math.PI) * sunsetHourAngleRad(day);
}

/** A stretch of hour angle within a day. */
interface SunStretch extends SunDay {
  /** Hour angle of the beginning, rad, 0 at solar noon, morning negative. */
  fromRad: number;
  /** Hour angle of the end, rad, not before the beginning and at most a day later. */
  toRad: number;
}

/**
 * Radiation above the atmosphere on a level surface over a stretch of hour angle, MJ/m², never
 * negative. What lies below the horizon counts nothing; a stretch across solar midnight is right
 * also under the midnight sun.
 *
 * Inputs: hour angles within ±2π of solar noon. Throws RangeError outside or when the stretch runs
 * backwards.
 * Source: FAO-56, Eq. 28, with the limits held to sunrise and sunset as in ASCE-EWRI 2005, Eq. 57.
 * Example: 16.22° N, day 274, 0.5512 to 0.8130 rad: 3.543 MJ/m² (FAO-56, Example 19).
 */
export function extraterrestrialMjPerM2(stretch: SunStretch): number {
  const where = 'extraterrestrialMjPerM2';
  const limit = 2 * Math.PI;
  const w1 = requireInRange({
    where,
    name: 'fromRad',
    value: stretch.fromRad,
    lower: -limit,
    upper: limit,
  });
  const w2 = requireInRange({
    where,
    name: 'toRad',
    value: stretch.toRad,
    lower: w1,
    upper: limit,
  });
  const phi = latitudeRad(where, stretch.latitudeDeg);
  const delta = declinationRad(stretch.dayOfYear);
  const dr = inverseSunDistance(stretch.dayOfYear);
  const ws = sunsetHourAngleRad(stretch);

  const perRad = ((12 * 60) / Math.PI) * SOLAR_CONSTANT_MJ_PER_M2_MIN * dr;
  let sumMjPerM2 = 0;
  for (const noon of [-2 * Math.PI, 0, 2 * Math.PI]) {
    const from = Math.max(w1, noon - ws);
    const to = Math.min(w2, noon + ws);
    if (to <= from) continue;
    sumMjPerM2 +=
      perRad *
      ((to - from) * Math.sin(phi) * Math.sin(delta) +
        Math.cos(phi) * Math.cos(delta) * (Math.sin(to) - Math.sin(from)));
  }
  return Math.max(0, sumMjPerM2);
}

/**
 * Radiation above the atmosphere on a level surface over a day, MJ/m².
 *
 * Source: FAO-56, Eq. 21, as the whole-day case of Eq. 28.
 * Example: 20° S, day 246: 32.2 MJ/m² (FAO-56, Example 8).
 */
export function extraterrestrialDayMjPerM2(day: SunDay): number {
  return extraterrestrialMjPerM2({ ...day, fromRad: -Math.PI, toRad: Math.PI });
}

/**
 * Seasonal correction of solar time, hours, about -0.24 to +0.28.
 *
 * Source: FAO-56, Eq. 32 and 33.
 * Example: 1 October, day 274: 0.1889 h (FAO-56, Example 19).
 */
export function seasonalCorrectionH(dayOfYear: number): number {
  const J = requireDayOfYear('seasonalCorrectionH', dayOfYear);
  const b = (2 * Math.PI * (J - 81)) / 364;
  return 0.1645 * Math.sin(2 * b) - 0.1255 * Math.cos(b) - 0.025 * Math.sin(b);
}

/**
 * Height of the sun's centre above the horizon, rad, negative at night, without refraction.
 *
 * Input: hour angle, rad, 0 at solar noon. Throws RangeError when latitude or day are out of range.
 * Source: ASCE-EWRI 2005, Eq. 62.
 */
export function sunElevationRad({
  latitudeDeg,
  dayOfYear,
  hourAngleRad,
}: SunDay & { hourAngleRad: number }): number {
  const phi = latitudeRad('sunElevationRad', latitudeDeg);
  const delta = declinationRad(dayOfYear);
  const sine =
    Math.sin(phi) * Math.sin(delta) + Math.cos(phi) * Math.cos(delta) * Math.cos(hourAngleRad);
  return Math.asin(Math.min(1, Math.max(-1, sine)));
}
