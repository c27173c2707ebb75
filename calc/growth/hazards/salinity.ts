import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice } from '../notice.ts';

/** Restriction on the use of a water by its salinity. */
export type WaterSalinityClass = 'none' | 'slight_to_moderate' | 'severe';

/**
 * Class of an irrigation water by its electrical conductivity.
 *
 * @param waterDSPerM conductivity at 25 °C, 0 to 60 dS/m.
 * @throws RangeError when the conductivity is outside its range.
 * Source: Ayers & Westcot 1985, FAO-29 (from memory): none below 0.7, severe above 3.0 dS/m.
 * @example
 * waterSalinityClass(1.2); // 'slight_to_moderate'
 */
export function waterSalinityClass(waterDSPerM: number): WaterSalinityClass {
  requireNumbers('waterSalinityClass', { waterDSPerM: [waterDSPerM, { atLeast: 0, atMost: 60 }] });
  if (waterDSPerM < 0.7) return 'none';
  return waterDSPerM > 3 ? 'severe' : 'slight_to_moderate';
}

/**
 * Salinity of the irrigation water against a seedbed, or null.
 *
 * @param asked conductivity of the water, dS/m; whether the seedlings are still coming up, when they
 *   bear least; the stretch of time that the reading speaks for.
 * @throws RangeError when the conductivity is outside its range.
 * Source: Ayers & Westcot 1985, FAO-29 (from memory); below 1 dS/m for seeding is common practice.
 */
export function irrigationSalinityNotice(asked: {
  waterDSPerM: number;
  comingUp: boolean;
  fromMs: number;
  toMs: number;
}): Notice | null {
  const { waterDSPerM, comingUp, fromMs, toMs } = asked;
  const waterClass = waterSalinityClass(waterDSPerM);
  if (waterClass === 'none') return null;
  const severe = waterClass === 'severe';
  const tooMuchForSeed = comingUp && waterDSPerM >= 1;
  return {
    code: 'irrigation_salinity',
    severity: severe ? 'danger' : tooMuchForSeed ? 'warn' : 'note',
    inputs: { waterDSPerM, class: waterClass, comingUp: comingUp ? 'yes' : 'no' },
    limits: {},
    fromMs,
    toMs,
  };
}
