import { vapourPressureOfDewPointKPa } from '../../../../calc/sky/air.ts';
import { referenceEtSeries } from '../../../../calc/sky/reference-et.ts';
import { clearSkyMjPerM2 } from '../../../../calc/sky/solar-radiation.ts';
import { sunOfHour } from '../../../../calc/sky/sun-geometry.ts';
import type { WeatherHour } from '../../../../calc/sky/weather-hour.ts';
import type { PlaceWeather } from '../season-case.ts';
import { measuredHours } from './told-hours.ts';

const HOUR_MS = 3_600_000;
const PLACE = {
  name: 'Nowhere (invented)',
  latitudeDeg: 40,
  longitudeDeg: -105,
  elevationM: 100,
  zone: 'Etc/GMT+7',
};

/** Days from 1 May on, in turns of 30 from hot to windy and back: an invented place, for tests. */
export function inventedSummer(days: number): PlaceWeather {
  const firstMs = Date.UTC(2023, 4, 1, 7);
  const bare = Array.from({ length: 24 * days }, (_, index): WeatherHour => {
    const startMs = firstMs + index * HOUR_MS;
    const sun = sunOfHour({ ...PLACE, startMs });
    const hot = Math.cos((2 * Math.PI * index) / (24 * 30));
    const afternoon = Math.cos((2 * Math.PI * ((index % 24) - 15)) / 24);
    return {
      startMs,
      origin: 'observed',
      airTempC: 24 + 3 * hot + 7 * afternoon,
      vapourPressureKPa: vapourPressureOfDewPointKPa(11),
      windMPerS: 2 - 0.5 * hot + afternoon,
      solarMjPerM2: 0.8 * clearSkyMjPerM2({ ...sun, ...PLACE }),
      rainMm: 0,
      filled: [],
    };
  });
  const hours = referenceEtSeries({ hours: bare, place: PLACE });
  const reading = { source: 'invented', hours: measuredHours(hours), asOfMs: null, problems: [] };
  return { place: PLACE, reading, hours };
}
