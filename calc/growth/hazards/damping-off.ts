import type { WeatherHour } from '../../sky/weather-hour.ts';
import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice } from '../notice.ts';
import { spanOf } from './hours.ts';

/** From when warmth and wetness together favour damping-off. */
export const DAMPING_OFF_LIMITS = { warmC: 21, excessPct: 130 } as const;

/**
 * Damping-off weather over the hours given, or null: warm, and wetter than the loss asks for.
 *
 * The temperature limit is published; what counts as excess moisture is an assumption: water and
 * rain above a percentage of the loss.
 *
 * @param asked hours of weather; net water planned for them, mm; their loss, mm; both at least 0.
 * @throws RangeError when an input is outside its range.
 * Source: University of California IPM: commoner above 21 °C (70 °F) with excess moisture.
 */
export function dampingOffNotice(asked: {
  hours: readonly WeatherHour[];
  waterMm: number;
  lossMm: number;
  limits?: { warmC: number; excessPct: number };
}): Notice | null {
  const { hours, waterMm, lossMm, limits = DAMPING_OFF_LIMITS } = asked;
  const { warmC, excessPct } = limits;
  requireNumbers('dampingOffNotice', {
    waterMm: [waterMm, { atLeast: 0 }],
    lossMm: [lossMm, { atLeast: 0 }],
    excessPct: [excessPct, { atLeast: 100 }],
  });
  if (hours.length === 0) return null;
  const meanC = hours.reduce((sum, hour) => sum + hour.airTempC, 0) / hours.length;
  const rainMm = hours.reduce((sum, hour) => sum + hour.rainMm, 0);
  const givenMm = waterMm + rainMm;
  if (meanC <= warmC || givenMm <= (lossMm * excessPct) / 100) return null;
  return {
    code: 'damping_off',
    severity: 'note',
    inputs: { meanC, warmC, waterMm, rainMm, lossMm, excessPct },
    limits: {},
    ...spanOf(hours),
  };
}
