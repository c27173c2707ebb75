import { saturationKPa } from '../sky/air.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { driftLoss } from '../sprinkler/drift-loss.ts';

const HOUR_MS = 3_600_000;

/**
 * Drift and evaporation in flight at an instant, part of the gross depth: worked out once for each
 * hour and looked up.
 *
 * @param daylight Sunrise and sunset: the loss by day is greater than by night.
 */
export function driftOverHours(
  hours: readonly EtHour[],
  daylight: { startMs: number; endMs: number },
): (instantMs: number) => number {
  const losses = new Map(
    hours.map((hour) => [
      hour.startMs,
      driftLoss({
        windMPerS: hour.windMPerS,
        relativeHumidityPct: Math.min(
          100,
          (100 * hour.vapourPressureKPa) / saturationKPa(hour.airTempC),
        ),
        airTempC: hour.airTempC,
        isDay: hour.startMs + HOUR_MS > daylight.startMs && hour.startMs < daylight.endMs,
      }).lossFraction,
    ]),
  );
  const first = hours[0]?.startMs ?? 0;
  return (instantMs) =>
    losses.get(first + Math.floor((instantMs - first) / HOUR_MS) * HOUR_MS) ?? 0;
}

/** Whether the wind of an instant's hour passes the limit. */
export function windyOverHours(
  hours: readonly EtHour[],
  windLimitMPerS: number,
): (instantMs: number) => boolean {
  const windy = new Set(
    hours.filter((hour) => hour.windMPerS > windLimitMPerS).map((hour) => hour.startMs),
  );
  const first = hours[0]?.startMs ?? 0;
  return (instantMs) => windy.has(first + Math.floor((instantMs - first) / HOUR_MS) * HOUR_MS);
}
