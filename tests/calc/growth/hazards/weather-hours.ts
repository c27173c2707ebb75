import { saturationKPa } from '../../../../calc/sky/air.ts';
import type { WeatherHour } from '../../../../calc/sky/weather-hour.ts';

export const HOUR_MS = 3_600_000;
export const NOON_MS = Date.parse('2026-08-20T12:00:00Z');

/** An invented hour, mild and calm, so many hours after an invented noon. */
export function hourAt(
  hoursAfterNoon: number,
  change: Partial<WeatherHour> & { humidityPct?: number } = {},
): WeatherHour {
  const { humidityPct = 50, ...fields } = change;
  const airTempC = fields.airTempC ?? 18;
  return {
    startMs: NOON_MS + hoursAfterNoon * HOUR_MS,
    origin: 'forecast',
    airTempC,
    vapourPressureKPa: (saturationKPa(airTempC) * humidityPct) / 100,
    windMPerS: 1,
    solarMjPerM2: 0,
    rainMm: 0,
    filled: [],
    ...fields,
  };
}

/** A day from noon to noon, each hour changed by its number. */
export function dayOf(
  change: (hour: number) => Partial<WeatherHour> & { humidityPct?: number },
): WeatherHour[] {
  return Array.from({ length: 24 }, (_, hour) => hourAt(hour, change(hour)));
}
