import type { WeatherHour } from '../../sky/weather-hour.ts';
import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice } from '../notice.ts';
import { spanOf, spellsOf } from './hours.ts';

/**
 * First spell in which water could freeze on the turf, or null.
 *
 * A spell begins when the air falls to the limit and ends when it has risen above it. The surface of
 * a clear calm night is colder than the air at its shelter, hence a limit above freezing. The first
 * hour given has no hour before it and counts as falling.
 *
 * @param asked hours of weather in order of time; limit -5 to 10 °C, the same at which cycles keep
 *   off, so that what a plan tells and what it does agree.
 * @throws RangeError when the limit is outside its range.
 * Source: common practice, no irrigation at or below 2 to 3 °C and falling.
 */
export function frostNotice(asked: {
  hours: readonly WeatherHour[];
  limitC: number;
}): Notice | null {
  const { hours, limitC } = asked;
  requireNumbers('frostNotice', { limitC: [limitC, { atLeast: -5, atMost: 10 }] });
  const [spell] = spellsOf(hours, (hour) => hour.airTempC <= limitC);
  if (spell === undefined) return null;
  const lowC = Math.min(...spell.map((hour) => hour.airTempC));
  const freezes = lowC <= 0;
  return {
    code: 'frost',
    severity: freezes ? 'danger' : 'warn',
    inputs: { lowC, limitC, coldHours: spell.length },
    limits: {},
    ...spanOf(spell),
  };
}
