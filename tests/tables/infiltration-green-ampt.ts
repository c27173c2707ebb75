/** Chow, Maidment & Mays 1988, silt loam with Rawls' values at 30 % saturation (from memory). */
export const siltLoam = {
  conductivityMmPerH: 6.5,
  suctionMm: 167,
  deficitFraction: (1 - 0.3) * 0.486,
};

/** University of California, Merced, ESS 110 notes (read in the source). */
export const merced = { conductivityMmPerH: 0.44, suctionMm: 224, deficitFraction: 0.25 };

/**
 * Ponding under a steady rate. Tolerances are half the last digit that the source prints; `exact` is
 * an independent recomputation, not published, to 1e-3 of its unit.
 */
export const pondings = [
  {
    source: 'Chow, Maidment & Mays 1988, Ex. 4.4.1, 1 cm/h (from memory)',
    sand: siltLoam,
    rateMmPerH: 10,
    afterH: 10.5,
    toleranceH: 0.0551,
    infiltratedMm: 105,
    toleranceMm: 0.551,
    exactH: 10.551,
  },
  {
    source: 'Chow, Maidment & Mays 1988, Ex. 4.4.1, 5 cm/h (from memory)',
    sand: siltLoam,
    rateMmPerH: 50,
    afterH: 0.17,
    toleranceH: 0.005,
    infiltratedMm: 8.5,
    toleranceMm: 0.05,
    exactH: 0.16979,
  },
  {
    source: 'University of California, Merced, ESS 110 notes',
    sand: merced,
    rateMmPerH: 5,
    afterH: 1.08,
    toleranceH: 0.005,
    infiltratedMm: 5.4,
    toleranceMm: 0.05,
    exactH: 1.0807,
  },
] as const;

/** Depth under a flooded surface after one hour. */
export const floodings = [
  {
    source: 'Chow, Maidment & Mays 1988, Ex. 4.3.1 (from memory)',
    sand: siltLoam,
    infiltratedMm: 31.7,
    toleranceMm: 0.05,
    capacityMmPerH: 18.1,
    // 1.8160 cm/h recomputed; the source carries F = 3.17 and rounds to 1.81.
    toleranceMmPerH: 0.1,
  },
  {
    source: 'an open test suite for Green-Ampt (read there)',
    sand: { conductivityMmPerH: 10.9, suctionMm: 110.1, deficitFraction: 0.34 },
    infiltratedMm: 36.2511,
    toleranceMm: 0.00005,
    capacityMmPerH: null,
    toleranceMmPerH: null,
  },
] as const;
