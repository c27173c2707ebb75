import { seedbedTemperatureC } from '../sand/surface-temperature.ts';
import type { WeatherHour } from '../sky/weather-hour.ts';

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
