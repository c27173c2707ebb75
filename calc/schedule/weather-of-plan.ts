import type { EtHour, FilledValue, HourOrigin } from '../sky/weather-hour.ts';
import type { PlanWeather } from './day-plan.ts';

/** Sums up the hours that a plan rests on, with what was filled and how. */
export function weatherOfPlan(input: {
  hours: readonly EtHour[];
  source: string;
  asOfMs: number | null;
}): PlanWeather {
  const { hours, source, asOfMs } = input;
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
  return {
    source,
    asOfMs,
    hoursByOrigin,
    filled: [...filled.values()],
    referenceEtMm: total(of((hour) => hour.referenceEtMm)),
    highC: Math.max(...of((hour) => hour.airTempC)),
    lowC: Math.min(...of((hour) => hour.airTempC)),
    windMaxMPerS: Math.max(...of((hour) => hour.windMPerS)),
    rainMm: total(of((hour) => hour.rainMm)),
  };
}
