import { admitted } from './admitted.ts';
import { sunPosition } from './sun-position.ts';

const MIN_MS = 60_000;
const HALF_DAY_MS = 12 * 60 * MIN_MS;
const DAY_MS = 2 * HALF_DAY_MS;
/** Upper limb on the horizon: 50' below it for the sun's radius and refraction. */
const RISE_ZENITH_DEG = 90.833;

/** A local day at a place. */
export interface LocalDay {
  /** First instant of the site's local day, epoch ms. */
  dayStartMs: number;
  latitudeDeg: number;
  /** Degrees, east positive. */
  longitudeDeg: number;
}

/** Sunrise, noon and sunset of one local day. */
export interface SunTimes {
  sunriseMs: number | null;
  noonMs: number;
  sunsetMs: number | null;
  /** The sun stays up or down all day; null on a day with sunrise and sunset. */
  always: 'day' | 'night' | null;
}

/** Cosine of the hour angle at which the upper limb touches the horizon; beyond ±1 it never does. */
export function riseCosine(latitudeDeg: number, declinationDeg: number): number {
  const phi = (latitudeDeg * Math.PI) / 180;
  const delta = (declinationDeg * Math.PI) / 180;
  const zenith = (RISE_ZENITH_DEG * Math.PI) / 180;
  return Math.cos(zenith) / (Math.cos(phi) * Math.cos(delta)) - Math.tan(phi) * Math.tan(delta);
}

/** Instant of the apparent noon near a mean noon. */
function apparentNoonMs(meanNoonMs: number): number {
  const firstMs = meanNoonMs - sunPosition(meanNoonMs).equationOfTimeMin * MIN_MS;
  return meanNoonMs - sunPosition(firstMs).equationOfTimeMin * MIN_MS;
}

/**
 * Sunrise, solar noon and sunset of a local day, epoch ms, in that order.
 *
 * The solar day is the one whose noon lies in the local day (nearest to twelve hours after its
 * first instant), so no time zone, clock change or date line matters; a late sunset may fall after
 * the local midnight. Flat horizon, standard refraction. Within a minute up to 72° of latitude and
 * within about ten beyond, where refraction decides (NOAA's own statement). Whether the sun rises
 * at all is decided by its declination at noon: sunrise and sunset are both there, or both null.
 *
 * Inputs: first instant of the local day, epoch ms; latitude -90 to 90, longitude -180 to 180.
 * Throws RangeError outside.
 * Source: NOAA's solar calculator, after Meeus (1991); zenith 90.833°; each event found with the
 * sun's position at the event itself.
 * Example: 40° N, 105° W, 2010-06-21: 05:31, 13:02, 20:32 in UTC-6 (NOAA's sheet).
 */
export function sunTimes({ dayStartMs, latitudeDeg, longitudeDeg }: LocalDay): SunTimes {
  const where = 'sunTimes';
  admitted({ where, name: 'dayStartMs', value: dayStartMs, least: -8.6e15, most: 8.6e15 });
  admitted({ where, name: 'latitudeDeg', value: latitudeDeg, least: -90, most: 90 });
  admitted({ where, name: 'longitudeDeg', value: longitudeDeg, least: -180, most: 180 });

  const westMs = -longitudeDeg * 4 * MIN_MS;
  const middleMs = dayStartMs + HALF_DAY_MS;
  const nearestMs =
    Math.round((middleMs - HALF_DAY_MS - westMs) / DAY_MS) * DAY_MS + HALF_DAY_MS + westMs;
  const [noonBeforeMs, noonMsNear, noonAfterMs] = [-1, 0, 1].map((days) =>
    apparentNoonMs(nearestMs + days * DAY_MS),
  ) as [number, number, number];
  // The equation of time can move a noon across the edge of a day centred twelve hours away.
  const noonExactMs = [noonBeforeMs, noonAfterMs].reduce(
    (best, candidate) =>
      Math.abs(candidate - middleMs) < Math.abs(best - middleMs) ? candidate : best,
    noonMsNear,
  );

  const atNoon = riseCosine(latitudeDeg, sunPosition(noonExactMs).declinationDeg);
  if (atNoon > 1 || atNoon < -1) {
    return {
      sunriseMs: null,
      noonMs: Math.round(noonExactMs),
      sunsetMs: null,
      always: atNoon > 1 ? 'night' : 'day',
    };
  }
  const meanNoonMs = noonExactMs + sunPosition(noonExactMs).equationOfTimeMin * MIN_MS;
  const eventMs = (side: -1 | 1): number => {
    let atMs = noonExactMs;
    for (let pass = 0; pass < 4; pass += 1) {
      const { declinationDeg, equationOfTimeMin } = sunPosition(atMs);
      const cosine = Math.min(1, Math.max(-1, riseCosine(latitudeDeg, declinationDeg)));
      const hourAngleDeg = (Math.acos(cosine) * 180) / Math.PI;
      atMs = meanNoonMs + (side * 4 * hourAngleDeg - equationOfTimeMin) * MIN_MS;
    }
    return Math.round(atMs);
  };
  return {
    sunriseMs: eventMs(-1),
    noonMs: Math.round(noonExactMs),
    sunsetMs: eventMs(1),
    always: null,
  };
}
