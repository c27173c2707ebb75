import { isZone, siteClock } from '../time/site-clock.ts';

const HOUR_MS = 3_600_000;
const DAY_H = 24;
/** No zone's clock stands further from the sun's than this: three hours in the west of China. */
const FURTHEST_H = 4;
/** The sun is highest at 12:00 UTC at 0° on any day within a quarter of an hour. */
const NOON_UTC_MS = Date.parse('2026-01-15T12:00:00Z');

/**
 * What is wrong between a place's longitude and its time zone, or null when they fit: a sign that
 * was forgotten puts the sun, and with it every cycle, into the night.
 *
 * @param zone an IANA name; of one that is not known nothing is said
 * @param longitudeDeg east positive
 */
export function zoneMisfit(zone: string, longitudeDeg: number): string | null {
  if (!isZone(zone)) return null;
  const noonMs = NOON_UTC_MS - (longitudeDeg / 360) * DAY_H * HOUR_MS;
  const clock = siteClock(zone);
  const { hour, minute } = clock.localOf(noonMs);
  if (Math.abs(hour + minute / 60 - DAY_H / 2) <= FURTHEST_H) return null;
  return `does not fit the longitude: by this clock the sun would be highest at ${clock.timeOf(noonMs)} (got ${zone} at longitude ${longitudeDeg}); west is negative, so look at its sign, or write the zone of the site`;
}
