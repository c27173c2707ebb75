import type { WeatherReading } from '../../../../adapters/weather/source.ts';
import { dewPointC } from '../../../../calc/sky/air.ts';
import type { EtHour, RawHour } from '../../../../calc/sky/weather-hour.ts';
import type { PlaceWeather } from '../season-case.ts';

/**
 * Complete hours as a station that measures everything would tell them: nothing is left to be filled,
 * so that the bed's weather and what a plan knows of the past are the same.
 */
export function measuredHours(hours: readonly EtHour[]): RawHour[] {
  return hours.map((hour) => ({
    startMs: hour.startMs,
    origin: 'observed',
    airTempC: hour.airTempC,
    dewPointC: dewPointC(hour.vapourPressureKPa),
    relativeHumidityPct: null,
    windMPerS: hour.windMPerS,
    windHeightM: 2,
    solarMjPerM2: hour.solarMjPerM2,
    rainMm: hour.rainMm,
  }));
}

/** The weather of a place over a stretch of time alone, measured whole. */
export function measuredWeather(
  source: PlaceWeather,
  { fromMs, toMs }: { fromMs: number; toMs: number },
): PlaceWeather {
  const hours = source.hours.filter((hour) => hour.startMs >= fromMs && hour.startMs < toMs);
  const reading: WeatherReading = {
    source: source.reading.source,
    hours: measuredHours(hours),
    asOfMs: null,
    problems: [],
  };
  return { place: source.place, reading, hours };
}
