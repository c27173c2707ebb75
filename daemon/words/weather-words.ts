import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { USUAL_WIND_M_PER_S } from '../../calc/sky/missing-weather.ts';
import { isMessage } from './language.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** A source that is silent, or told too long ago to be taken. */
export function sayStale(
  warning: Extract<PlanWarning, { code: 'weather_stale' }>,
  siteDay: string,
  reader: Reader,
): string {
  const { source, fault, weatherAsOfMs, ageH, staleAfterH } = warning;
  const say = sayTo(reader);
  if (fault !== null) return say('warning.weather_stale.fault', { source, fault });
  if (weatherAsOfMs === null || ageH === null) {
    return say('warning.weather_stale.nothing', { source });
  }
  const { clock } = reader;
  const time = clock.timeOf(weatherAsOfMs);
  const day = clock.siteDayOf(weatherAsOfMs);
  return say('warning.weather_stale.old', {
    source,
    age: ageH.toFixed(1),
    at: day === siteDay ? time : `${day} ${time}`,
    limit: staleAfterH ?? '-',
  });
}

/** What stands in for a value that no source gave. */
export function sayFill(how: string, reader: Pick<Reader, 'language' | 'show'>): string {
  const say = sayTo(reader);
  const key = `fill.${how}`;
  // A plan of before has it in words.
  if (!isMessage(key)) return how;
  return say(key, { wind: reader.show.speed(USUAL_WIND_M_PER_S) });
}
