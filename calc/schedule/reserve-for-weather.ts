import type { EtHour } from '../sky/weather-hour.ts';

/**
 * The reserve is for what a forecast gets wrong. Yesterday's hours in its place miss the next hours'
 * reference ET by about a fifth of a hot midday's (half a year of hours at Fallon, Nevada, 2015), as
 * much again as the usual reserve: of two such errors that know nothing of each other the whole is
 * half as large again.
 */
const CARRIED_FACTOR = 1.5;
/** More than this kept back would leave too little to plan with. */
const MOST_FRACTION = 0.8;

/**
 * The part of the store that is never planned away, larger where an earlier day's hours stand in for
 * a forecast, in proportion to the loss that they foretell.
 *
 * @param reserveFraction the site's own, 0 to below 1
 * @param hours the hours of the plan
 * @returns part of the store, at least the site's own
 */
export function reserveForWeather(reserveFraction: number, hours: readonly EtHour[]): number {
  const lossOf = (some: readonly EtHour[]) =>
    some.reduce((sum, hour) => sum + Math.max(0, hour.referenceEtMm), 0);
  const allMm = lossOf(hours);
  if (!(allMm > 0)) return reserveFraction;
  const carriedMm = lossOf(hours.filter((hour) => hour.origin === 'carried'));
  const factor = 1 + (CARRIED_FACTOR - 1) * (carriedMm / allMm);
  return Math.max(reserveFraction, Math.min(MOST_FRACTION, reserveFraction * factor));
}
