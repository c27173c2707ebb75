import type { WeatherHour } from '../../sky/weather-hour.ts';
import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice } from '../notice.ts';
import { spanOf } from './hours.ts';

/** Wind at 2 m from which a sprinkler's pattern is hurt, and sharply so. */
export const WIND_LIMITS = { hurtMPerS: 4, sharplyHurtMPerS: 6 } as const;

/**
 * Wind that hurts the sprinklers' pattern over the hours given, or null. It asks and skips nothing:
 * in a grow-in a poor pattern may still beat a dry seedbed.
 *
 * @param asked hours of weather with wind at 2 m; limits above 0 m/s in rising order.
 * @throws RangeError when the limits do not rise.
 * Source: irrigation research (abstracts): badly hurt above 4 m/s, sharply above 6 m/s.
 */
export function windNotice(asked: {
  hours: readonly WeatherHour[];
  limits?: { hurtMPerS: number; sharplyHurtMPerS: number };
}): Notice | null {
  const { hours, limits = WIND_LIMITS } = asked;
  const { hurtMPerS, sharplyHurtMPerS } = limits;
  requireNumbers('windNotice', {
    hurtMPerS: [hurtMPerS, { above: 0 }],
    sharplyHurtMPerS: [sharplyHurtMPerS, { atLeast: hurtMPerS }],
  });
  const windy = hours.filter((hour) => hour.windMPerS > hurtMPerS);
  if (windy.length === 0) return null;
  const strongestMPerS = Math.max(...windy.map((hour) => hour.windMPerS));
  const sharp = strongestMPerS > sharplyHurtMPerS;
  return {
    code: 'wind',
    severity: sharp ? 'warn' : 'note',
    inputs: { strongestMPerS, hurtMPerS, sharplyHurtMPerS, windyHours: windy.length },
    limits: {},
    ...spanOf(windy),
  };
}
