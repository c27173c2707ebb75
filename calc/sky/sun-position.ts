const DAY_MS = 86_400_000;
/** Julian day of 1970-01-01T00:00Z, and of the epoch J2000. */
const UNIX_EPOCH_JULIAN_DAY = 2_440_587.5;
const J2000_JULIAN_DAY = 2_451_545;

const RAD_PER_DEG = Math.PI / 180;

/** Where the sun stands on the celestial sphere, whatever the place. */
export interface SunPosition {
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
