import { admitted } from './admitted.ts';

/**
 * Wind at 2 m above clipped grass from wind at another height, m/s.
 *
 * Logarithmic profile over short grass: over bare, built or wooded ground it only estimates.
 * Inputs: wind, 0 to 120 m/s; height of the anemometer, 0.5 to 200 m. Throws RangeError outside.
 * Source: FAO-56, Eq. 47; ASCE-EWRI 2005, Eq. 33.
 * Example: 3.2 m/s at 10 m: 2.4 m/s (FAO-56, Example 14).
 */
export function windAt2mMPerS({
  windMPerS,
  heightM,
}: {
  windMPerS: number;
  heightM: number;
}): number {
  const where = 'windAt2mMPerS';
  const uz = admitted({ where, name: 'windMPerS', value: windMPerS, least: 0, most: 120 });
  const z = admitted({ where, name: 'heightM', value: heightM, least: 0.5, most: 200 });
  // The published coefficients give 1.0002 at 2 m: what is measured there stays as it is.
  if (z === 2) return uz;
  return (uz * 4.87) / Math.log(67.8 * z - 5.42);
}
