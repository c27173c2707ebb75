import { admitted } from './admitted.ts';

/** One step of the standardized equation, all of its terms worked out. */
export interface PenmanMonteithStep {
  slopeKPaPerC: number;
  psychrometricKPaPerC: number;
  netRadiationMjPerM2: number;
  soilHeatMjPerM2: number;
  airTempC: number;
  /** Wind at 2 m. */
  windMPerS: number;
  vapourDeficitKPa: number;
  /** Cn of the standard: of the surface and the length of the step. */
  numerator: number;
  /** Cd of the standard, s/m. */
  denominatorSPerM: number;
}

/** What evaporates in a step, and how much of it sun and wind bring. */
export interface EvaporationTerms {
  radiationMm: number;
  windMm: number;
  referenceEtMm: number;
}

/**
 * Reference ET of one step, mm, with its radiation and its wind term.
 *
 * For a well-watered, extended, uniform grass (or tall) surface. Negative when dew forms.
 * Inputs: wind at 2 m, 0 to 60 m/s; vapour deficit from 0; slope, constant and coefficients above
 * 0. Throws RangeError outside.
 * Source: ASCE-EWRI 2005, Eq. 1; FAO-56, Eq. 6 and 53 with their own coefficients.
 * Example: 3.97 + 1.75 = 5.72 mm (FAO-56, Example 17).
 */
export function penmanMonteithMm(step: PenmanMonteithStep): EvaporationTerms {
  const where = 'penmanMonteithMm';
  const positive = (name: string, value: number): number =>
    admitted({ where, name, value, least: Number.MIN_VALUE, most: 1e4 });
  const Delta = positive('slopeKPaPerC', step.slopeKPaPerC);
  const gamma = positive('psychrometricKPaPerC', step.psychrometricKPaPerC);
  const Cn = positive('numerator', step.numerator);
  const Cd = positive('denominatorSPerM', step.denominatorSPerM);
  const Rn = admitted({
    where,
    name: 'netRadiationMjPerM2',
    value: step.netRadiationMjPerM2,
    least: -60,
    most: 60,
  });
  const G = admitted({
    where,
    name: 'soilHeatMjPerM2',
    value: step.soilHeatMjPerM2,
    least: -60,
    most: 60,
  });
  const T = admitted({ where, name: 'airTempC', value: step.airTempC, least: -80, most: 80 });
  const u2 = admitted({ where, name: 'windMPerS', value: step.windMPerS, least: 0, most: 120 });
  const deficit = admitted({
    where,
    name: 'vapourDeficitKPa',
    value: step.vapourDeficitKPa,
    least: 0,
    most: 60,
  });

  const below = Delta + gamma * (1 + Cd * u2);
  const radiationMm = (0.408 * Delta * (Rn - G)) / below;
  const windMm = (((gamma * Cn) / (T + 273)) * u2 * deficit) / below;
  return { radiationMm, windMm, referenceEtMm: radiationMm + windMm };
}
