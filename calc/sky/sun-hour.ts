import { admitted } from './admitted.ts';
import {
  extraterrestrialMjPerM2,
  seasonalCorrectionH,
  sunElevationRad,
  sunsetHourAngleRad,
} from './sun-geometry.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** An hour at a place. */
export interface HourAtPlace {
  /** Beginning of the hour, epoch milliseconds. */
  startMs: number;
  latitudeDeg: number;
  /** Degrees, east positive. */
  longitudeDeg: number;
}

/** Where the sun stands in an hour, and what it sends. */
export interface SunHour {
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
  admitted({ where, name: 'startMs', value: startMs, least: -8.64e15, most: 8.64e15 - DAY_MS });
  admitted({ where, name: 'longitudeDeg', value: longitudeDeg, least: -180, most: 180 });

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
