import type { EtHour, FilledValue, HourOrigin } from '../sky/weather-hour.ts';
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
}): PlanWeather {
  const { hours, startMs, source, asOfMs } = input;
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
