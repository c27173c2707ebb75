import type { WeatherHour } from '../../sky/weather-hour.ts';
import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice } from '../notice.ts';
import { spanOf } from './hours.ts';

/** Temperatures at which heat tells on seedlings. */
export interface HeatLimits {
  /** Seedbed at which roots are held back. */
  rootsHeldBackC: number;
  /** Surface at which seedlings begin to suffer at the crown. */
  crownSuffersC: number;
  /** Surface at which the crown is scalded. */
  crownScaldsC: number;
}

export const HEAT_LIMITS: HeatLimits = {
  rootsHeldBackC: 32,
  crownSuffersC: 40,
  crownScaldsC: 45,
};

/**
 * Heat over the hours given, or null.
 *
 * Uses the surface temperature of the seedbed where it was worked out, hour for hour, and the air
 * temperature otherwise: bare dry sand can stand far above the air, so the air alone understates.
 *
 * @param asked hours of weather; surface temperatures in the same order, when known; limits in
 *   rising order, °C.
 * @throws RangeError when the surface temperatures do not match the hours, or limits do not rise.
 * Source: roots held back at 32 °C (extension sources); crown above 40 to 45 °C (from memory).
 */
export function heatNotice(asked: {
  hours: readonly WeatherHour[];
  surfaceTempsC?: readonly number[];
  limits?: HeatLimits;
}): Notice | null {
  const { hours, surfaceTempsC, limits = HEAT_LIMITS } = asked;
  const { rootsHeldBackC, crownSuffersC, crownScaldsC } = limits;
  requireNumbers('heatNotice', {
    rootsHeldBackC: [rootsHeldBackC, {}],
    crownSuffersC: [crownSuffersC, { atLeast: rootsHeldBackC }],
    crownScaldsC: [crownScaldsC, { atLeast: crownSuffersC }],
  });
  if (surfaceTempsC !== undefined && surfaceTempsC.length !== hours.length) {
    throw new RangeError(
      `heatNotice.surfaceTempsC: not one for each hour (got ${surfaceTempsC.length} for ${hours.length}); give as many`,
    );
  }
  const hot = hours.flatMap((hour, index) => {
    const tempC = surfaceTempsC?.[index] ?? hour.airTempC;
    return tempC >= rootsHeldBackC ? [{ hour, tempC }] : [];
  });
  if (hot.length === 0) return null;
  const peakC = Math.max(...hot.map((one) => one.tempC));
  const limitC = [crownScaldsC, crownSuffersC, rootsHeldBackC].find((one) => peakC >= one);
  const severity = peakC >= crownScaldsC ? 'danger' : peakC >= crownSuffersC ? 'warn' : 'note';
  return {
    code: 'heat',
    severity,
    inputs: {
      peakC,
      limitC: limitC ?? rootsHeldBackC,
      hotHours: hot.length,
      measure: surfaceTempsC === undefined ? 'air' : 'seedbed_surface',
    },
    limits: { rootsHeldBackC, crownSuffersC, crownScaldsC },
    ...spanOf(hot.map((one) => one.hour)),
  };
}
