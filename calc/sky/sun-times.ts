import { requireInRange } from '../input-range.ts';

const MIN_MS = 60_000;
const HALF_DAY_MS = 12 * 60 * MIN_MS;
const DAY_MS = 2 * HALF_DAY_MS;
/** Upper limb on the horizon: 50' below it for the sun's radius and refraction. */
const RISE_ZENITH_DEG = 90.833;

/** A local day at a place. */
interface LocalDay {
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
  requireInRange({ where, name: 'dayStartMs', value: dayStartMs, lower: -8.6e15, upper: 8.6e15 });
  requireInRange({ where, name: 'latitudeDeg', value: latitudeDeg, lower: -90, upper: 90 });
  requireInRange({ where, name: 'longitudeDeg', value: longitudeDeg, lower: -180, upper: 180 });

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

/** Julian day of 1970-01-01T00:00Z, and of the epoch J2000. */
const UNIX_EPOCH_JULIAN_DAY = 2_440_587.5;
const J2000_JULIAN_DAY = 2_451_545;

const RAD_PER_DEG = Math.PI / 180;

/** Where the sun stands on the celestial sphere, whatever the place. */
interface SunPosition {
  /** Declination, degrees, north positive. */
  declinationDeg: number;
  /** Apparent minus mean solar time, minutes, about -14.3 to +16.5. */
  equationOfTimeMin: number;
}

/**
 * Declination of the sun and equation of time at an instant.
 *
 * Good to about 0.01° for the years 1900 to 2100. Input: epoch ms.
 * Throws RangeError when the instant is not a finite number.
 * Source: the low-accuracy theory in Meeus, Astronomical Algorithms (1991), chapters 22, 25 and 28,
 * as used by NOAA's solar calculation sheets; coefficients from memory and held to NOAA's rows.
 * Example: 2010-06-21 06:06 UTC: 23.4383°, -1.70631 min (NOAA's sheet).
 */
export function sunPosition(atMs: number): SunPosition {
  if (!Number.isFinite(atMs)) {
    throw new RangeError(`sunPosition: not an instant (got ${atMs}); give epoch milliseconds`);
  }
  const julianDay = atMs / DAY_MS + UNIX_EPOCH_JULIAN_DAY;
  const T = (julianDay - J2000_JULIAN_DAY) / 36_525;

  const meanLongitude = RAD_PER_DEG * ((280.46646 + T * (36_000.76983 + T * 0.0003032)) % 360);
  const meanAnomaly = RAD_PER_DEG * ((357.52911 + T * (35_999.05029 - 0.0001537 * T)) % 360);
  const eccentricity = 0.016708634 - T * (0.000042037 + 0.0000001267 * T);
  const centreDeg =
    Math.sin(meanAnomaly) * (1.914602 - T * (0.004817 + 0.000014 * T)) +
    Math.sin(2 * meanAnomaly) * (0.019993 - 0.000101 * T) +
    Math.sin(3 * meanAnomaly) * 0.000289;
  const node = RAD_PER_DEG * (125.04 - 1934.136 * T);
  const apparentLongitude =
    meanLongitude + RAD_PER_DEG * (centreDeg - 0.00569 - 0.00478 * Math.sin(node));
  const meanObliquityDeg =
    23 + (26 + (21.448 - T * (46.815 + T * (0.00059 - T * 0.001813))) / 60) / 60;
  const obliquity = RAD_PER_DEG * (meanObliquityDeg + 0.00256 * Math.cos(node));

  const declination = Math.asin(Math.sin(obliquity) * Math.sin(apparentLongitude));
  const y = Math.tan(obliquity / 2) ** 2;
  const equationOfTime =
    y * Math.sin(2 * meanLongitude) -
    2 * eccentricity * Math.sin(meanAnomaly) +
    4 * eccentricity * y * Math.sin(meanAnomaly) * Math.cos(2 * meanLongitude) -
    0.5 * y * y * Math.sin(4 * meanLongitude) -
    1.25 * eccentricity * eccentricity * Math.sin(2 * meanAnomaly);
  return {
    declinationDeg: declination / RAD_PER_DEG,
    // One degree of rotation is four minutes.
    equationOfTimeMin: (4 * equationOfTime) / RAD_PER_DEG,
  };
}
