import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll } from 'vitest';
import { createWeatherSource, weatherConfigSchema } from '../../../adapters/weather/combined.ts';
import type {
  WeatherContext,
  WeatherReading,
  WeatherRequest,
  WeatherSource,
} from '../../../adapters/weather/source.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';

/** A site for the tests, at no place in particular. */
export const ZONE = 'America/Los_Angeles';
export const clock = siteClock(ZONE);

export const HOUR_MS = 3_600_000;

/** The instant of an ISO text with its offset. */
export const at = (iso: string): number => Date.parse(iso);

/** A request from one instant to another; now is its end unless told. */
export function asking(fromIso: string, toIso: string, nowIso = toIso): WeatherRequest {
  return { fromMs: at(fromIso), toMs: at(toIso), nowMs: at(nowIso) };
}

/** A folder of its own for one test file, with sources that read from it. */
export function weatherFolder(overrides: Partial<WeatherContext> = {}) {
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'weather-'));
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));
  const source = (config: object): WeatherSource =>
    createWeatherSource(weatherConfigSchema.parse(config), {
      clock,
      clockIn: siteClock,
      latitudeDeg: 40,
      longitudeDeg: -119,
      elevationM: 100,
      baseFolder: folder,
      ...overrides,
    });
  return {
    source,
    write: (name: string, content: string | Uint8Array) => writeFile(join(folder, name), content),
    read: async (
      config: object,
      content: string | Uint8Array,
      request: WeatherRequest,
    ): Promise<WeatherReading> => {
      await writeFile(join(folder, 'weather.csv'), content);
      return source({ file: 'weather.csv', ...config }).read(request);
    },
  };
}

/** Config of the invented station that most tests use: ISO local time, °C, m/s, W/m², mm. */
export const STATION = {
  source: 'csv',
  time: { form: 'iso', column: 'time' },
  stamps: 'hour_beginning',
  wind_height: '2 m',
  columns: {
    air_temp: { column: 'temp', unit: '°C' },
    relative_humidity: { column: 'rh', unit: '%' },
    wind: { column: 'wind', unit: 'm/s' },
    solar: { column: 'sun', unit: 'W/m2' },
    rain: { column: 'rain', unit: 'mm' },
  },
};

export const HEADER = 'time,temp,rh,wind,sun,rain';

/** Rows of an invented day, hours from 0 to 23 of 1 July 2026. */
export function dayRows(): string[] {
  return Array.from(
    { length: 24 },
    (_, hour) => `2026-07-01T${String(hour).padStart(2, '0')}:00,${10 + hour},50,2,100,0.5`,
  );
}

export const DAY = asking('2026-07-01T00:00:00-07:00', '2026-07-02T00:00:00-07:00');
