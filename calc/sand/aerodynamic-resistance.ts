import { requireNumbers } from '../sprinkler/require-number.ts';

/** A surface seen by the wind above it. */
export interface LogLaw {
  windMPerS: number;
  /** Height of the wind, m. */
  windHeightM: number;
  /** Height of the air temperature, m. */
  airHeightM: number;
  /** Height by which the surface lifts the profile, 0 on bare sand, m. */
  displacementM: number;
  /** Roughness length for momentum, m. */
  momentumRoughnessM: number;
  /** Roughness length for heat and vapour, m. */
  heatRoughnessM: number;
}

const VON_KARMAN = 0.41;

/**
 * Aerodynamic resistance between a surface and the air above it, s/m, by the logarithmic law.
 *
 * Assumes neutral air: over hot dry sand in light wind the true resistance is lower.
 *
 * @param law wind above 0 m/s, roughness above 0 m, heights above displacement + roughness.
 * @throws RangeError when an input is outside its range.
 * Source: Allen et al. 1998, FAO-56, Eq. 4 and Box 4.
 * @example
 * // Grass of 0.12 m: d 0.08, zom 0.01476, zoh 0.001476, both heights 2 m: 208 / u2
 */
export function aerodynamicResistanceSPerM(law: LogLaw): number {
  const { windMPerS, windHeightM, airHeightM, displacementM } = law;
  const { momentumRoughnessM, heatRoughnessM } = law;
  requireNumbers('aerodynamicResistanceSPerM', {
    windMPerS: [windMPerS, { above: 0 }],
    displacementM: [displacementM, { atLeast: 0 }],
    momentumRoughnessM: [momentumRoughnessM, { above: 0 }],
    heatRoughnessM: [heatRoughnessM, { above: 0 }],
  });
  requireNumbers('aerodynamicResistanceSPerM', {
    windHeightM: [windHeightM, { above: displacementM + momentumRoughnessM }],
    airHeightM: [airHeightM, { above: displacementM + heatRoughnessM }],
  });
  const forMomentum = Math.log((windHeightM - displacementM) / momentumRoughnessM);
  const forHeat = Math.log((airHeightM - displacementM) / heatRoughnessM);
  return (forMomentum * forHeat) / (VON_KARMAN ** 2 * windMPerS);
}
