import type { WeatherReading } from '../../../adapters/weather/source.ts';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import type { EtHour, SitePlace } from '../../../calc/sky/weather-hour.ts';
import { completeHours, NoWeather } from '../../planning/planning-context.ts';
import { utcIso } from '../../site/time/site-clock.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** Days before an instant from which its weather can be carried on. */
export const DAYS_BEFORE = 3;

/** How an instant of a replayed day foresees its weather. */
export type ReplayForecast =
  | { kind: 'perfect' }
  | { kind: 'persistence' }
  /** What another source says of the same hours, as it did at the time. */
  | { kind: 'source'; reading: WeatherReading };

/** What is replayed: the weather as it was, complete, and as it was read. */
export interface ActualWeather {
  reading: WeatherReading;
  hours: readonly EtHour[];
}

/**
 * The hours that an instant can plan on: what was measured before it, and what it foresees after.
 */
export function hoursKnownAt(
  real: ActualWeather,
  forecast: ReplayForecast,
  asked: { place: SitePlace; nowMs: number; fromMs: number; toMs: number },
): { hours: EtHour[]; isMoved: boolean } {
  const { place, nowMs, fromMs, toMs } = asked;
  if (forecast.kind === 'perfect') {
    return { hours: hoursCovering(real.hours, fromMs, toMs), isMoved: false };
  }
  const first = real.hours[0]?.startMs ?? fromMs;
  const earliestMs = fromMs - DAYS_BEFORE * 24 * HOUR_MS;
  const whole = {
    fromMs: Math.max(first, first + Math.floor((earliestMs - first) / HOUR_MS) * HOUR_MS),
    toMs: first + Math.ceil((toMs - first) / HOUR_MS) * HOUR_MS,
  };
  const known = real.reading.hours.filter((hour) => hour.startMs + HOUR_MS <= nowMs);
  const said =
    forecast.kind === 'source'
      ? forecast.reading.hours
          .filter((hour) => hour.startMs + HOUR_MS > nowMs)
          .map((hour) => ({ ...hour, origin: 'forecast' as const }))
      : [];
  const saidOfMeasured =
    forecast.kind === 'source'
      ? forecast.reading.hours.filter(
          (hour) => hour.startMs + HOUR_MS <= nowMs && hour.startMs >= nowMs - DAY_MS,
        )
      : [];
  const foretold = filledWeather({ hours: saidOfMeasured, place }).hours;
  const { hours, isMoved } = completeHours({ ...real.reading, hours: [...known, ...said] }, place, {
    ...whole,
    foretold,
  });
  return { hours: hoursCovering(hours, fromMs, toMs), isMoved };
}

/**
 * The hours that touch a stretch of time, without a gap.
 * @throws NoWeather when there is one: hours whose readings were refused, and no day before to stand in.
 */
export function hoursCovering(hours: readonly EtHour[], fromMs: number, toMs: number): EtHour[] {
  const own = hours.filter((hour) => hour.startMs + HOUR_MS > fromMs && hour.startMs < toMs);
  let coveredMs = fromMs;
  for (const hour of own) {
    if (hour.startMs > coveredMs) break;
    coveredMs = hour.startMs + HOUR_MS;
  }
  if (coveredMs >= toMs) return own;
  const at = (instantMs: number) => utcIso(instantMs).replace('.000', '');
  throw new NoWeather(
    `replay: no weather at ${at(coveredMs)}, and no earlier day to stand in (got ${own.length} usable hours from ${at(fromMs)} to ${at(toMs)}); mend what the lines above refuse, or replay other days`,
  );
}
