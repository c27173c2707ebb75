import type { FuturesBasis } from '../futures/weather-futures.ts';
import { seedbedTemperatureC } from '../sand/surface-temperature.ts';
import { saturationKPa } from '../sky/air.ts';
import type { EtHour, FilledValue, HourOrigin, WeatherHour } from '../sky/weather-hour.ts';
import { driftLoss } from '../sprinkler/drift-loss.ts';
import type { GroundHour, PlanWeather, WeatherShare } from './day-plan.ts';

const HOUR_MS = 3_600_000;

/**
 * Sums up the hours that a plan rests on, with what was filled and how.
 * @param input.startMs The plan's start: hours that end before it are over, and stand in for nothing.
 */
export function weatherOfPlan(input: {
  hours: readonly EtHour[];
  startMs: number;
  source: string;
  asOfMs: number | null;
  futuresBasis?: FuturesBasis;
}): PlanWeather {
  const { hours, startMs, source, asOfMs, futuresBasis } = input;
  const hoursByOrigin: Record<HourOrigin, number> = {
    observed: 0,
    forecast: 0,
    carried: 0,
    usual: 0,
  };
  const filled = new Map<string, FilledValue & { hours: number }>();
  for (const hour of hours) {
    hoursByOrigin[hour.origin] += 1;
    for (const one of hour.filled) {
      const key = `${one.field}: ${one.how}`;
      filled.set(key, { ...one, hours: (filled.get(key)?.hours ?? 0) + 1 });
    }
  }
  const of = (pick: (hour: EtHour) => number) => hours.map(pick);
  const total = (values: number[]) => values.reduce((sum, value) => sum + value, 0);
  const standInH = hours.filter(
    (hour) => hour.startMs + HOUR_MS > startMs && isStandIn(hour.origin),
  ).length;
  const shares = sharesOf(hours);
  return {
    source,
    asOfMs,
    hoursByOrigin,
    ...(shares.length > 0 ? { shares } : {}),
    filled: [...filled.values()],
    referenceEtMm: total(of((hour) => hour.referenceEtMm)),
    highC: Math.max(...of((hour) => hour.airTempC)),
    lowC: Math.min(...of((hour) => hour.airTempC)),
    windMaxMPerS: Math.max(...of((hour) => hour.windMPerS)),
    rainMm: total(of((hour) => hour.rainMm)),
    ...(standInH > 0 ? { standInH } : {}),
    ...(futuresBasis === undefined ? {} : { futuresBasis }),
  };
}

/** Neither measured nor foretold. */
function isStandIn(origin: HourOrigin): boolean {
  return origin === 'carried' || origin === 'usual';
}

/** Hours of one source and origin together, in the order in which they are met. */
export function sharesOf(hours: readonly EtHour[]): WeatherShare[] {
  const shares = new Map<string, WeatherShare>();
  for (const { told, origin } of hours) {
    if (told === undefined) continue;
    const key = `${origin} ${told.source}`;
    const share = shares.get(key) ?? { ...told, origin, hours: 0 };
    shares.set(key, { ...share, hours: share.hours + 1 });
  }
  return [...shares.values()];
}

/** An hour as others can check a plan by it. */
export function groundHour(hour: EtHour, driftLossFraction: number): GroundHour {
  const { startMs, airTempC, vapourPressureKPa, windMPerS, solarMjPerM2 } = hour;
  const { rainMm, referenceEtMm } = hour;
  const weather = { airTempC, vapourPressureKPa, windMPerS, solarMjPerM2, rainMm, referenceEtMm };
  return { startMs, ...weather, driftLossFraction };
}

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

/**
 * Temperature of a bare seedbed's surface in an hour, °C, wet (1) or dry (0).
 *
 * An hour at the edge of what air can be is held within the range of the energy balance: a bone-dry
 * reading of a station must not cost a bed its plan.
 *
 * Source: as `seedbedTemperatureC`.
 */
export function surfaceOfHourC(asked: {
  hour: WeatherHour;
  wetnessFraction: number;
  elevationM: number;
}): number {
  const { hour, wetnessFraction, elevationM } = asked;
  return seedbedTemperatureC({
    hour: {
      ...hour,
      airTempC: within(hour.airTempC, -40, 55),
      vapourPressureKPa: within(hour.vapourPressureKPa, 0.01, 12),
      windMPerS: within(hour.windMPerS, 0, 60),
      solarMjPerM2: within(hour.solarMjPerM2, 0, 5),
    },
    wetness: { wetnessFraction },
    elevationM,
  });
}

function within(value: number, least: number, most: number): number {
  return Math.min(most, Math.max(least, value));
}
