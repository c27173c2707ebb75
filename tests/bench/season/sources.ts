import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, extname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import {
  createWeatherSource,
  type SourceConfig,
  weatherConfigSchema,
} from '../../../adapters/weather/combined.ts';
import { readEpw } from '../../../adapters/weather/epw.ts';
import { weatherConfigFor } from '../../../daemon/faces/commands/weather-config-for.ts';
import { completeHours } from '../../../daemon/planning/planning-context.ts';
import { loadConfig } from '../../../daemon/site/config/load.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import type { Place, PlaceWeather } from './season-case.ts';

const DAY_MS = 24 * 3_600_000;

const PACKAGED = fileURLToPath(
  new URL('../../../node_modules/vega-datasets/data/weather.csv', import.meta.url),
);

/**
 * Daily weather of Seattle and New York, 2012 to 2015: NOAA, as carried by the package
 * `vega-datasets`. Its figures are measured; the hours of a day are shaped by the daily outlook.
 */
export async function packagedWeather(): Promise<PlaceWeather[]> {
  const [header = '', ...rows] = readFileSync(PACKAGED, 'utf8').trim().split(/\r?\n/);
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-season-'));
  const places: Place[] = [
    {
      name: 'Seattle',
      latitudeDeg: 47.45,
      longitudeDeg: -122.31,
      elevationM: 130,
      zone: 'America/Los_Angeles',
    },
    {
      name: 'New York',
      latitudeDeg: 40.78,
      longitudeDeg: -73.97,
      elevationM: 40,
      zone: 'America/New_York',
    },
  ];
  return Promise.all(
    places.map((place) => {
      const own = rows.filter((row) => row.startsWith(`${place.name},`));
      const file = join(folder, `${place.name}.csv`);
      writeFileSync(file, [header, ...own].join('\n'));
      const config = weatherConfigSchema.parse({
        source: 'outlook',
        wind_height: '10 m',
        daily_file: {
          file,
          day: { column: 'date' },
          columns: {
            high: { column: 'temp_max', unit: '°C' },
            low: { column: 'temp_min', unit: '°C' },
            wind: { column: 'wind', unit: 'm/s' },
            rain: { column: 'precipitation', unit: 'mm' },
          },
        },
      });
      return weatherOf(place, config, { from: '2012-01-01', to: '2016-01-01' });
    }),
  );
}

/**
 * A weather file of one's own: a typical year needs nothing else, an hourly export needs a config
 * that describes its columns, its place and its zone, and the year that it is of.
 */
export async function weatherFromFile(
  file: string,
  { configFile, year }: { configFile: string | undefined; year: number },
): Promise<PlaceWeather> {
  const span = { from: `${year}-01-01`, to: `${year + 1}-01-01` };
  if (extname(file).toLowerCase() === '.epw') {
    const epw = await readEpw(readFileSync(file, 'utf8'), file);
    const hours = Math.round(-epw.offsetMs / 3_600_000);
    const place = {
      name: epw.place,
      latitudeDeg: epw.latitudeDeg,
      longitudeDeg: epw.longitudeDeg,
      elevationM: 100,
      zone: `Etc/GMT${hours < 0 ? '' : '+'}${hours}`,
    };
    return weatherOf(place, { source: 'epw', file: resolve(file) }, span);
  }
  if (configFile === undefined) {
    throw new Error(`${file}: needs --config FILE, which describes its columns and its place`);
  }
  const loaded = loadConfig(configFile);
  if (!loaded.ok)
    throw new Error(loaded.problems.map((one) => `${one.path} ${one.message}`).join('\n'));
  const { site, zone } = loaded.config;
  const { config } = weatherConfigFor(resolve(file), loaded.config);
  return weatherOf({ ...site, name: basename(file), zone }, config, span);
}

async function weatherOf(
  place: Place,
  config: SourceConfig,
  span: { from: string; to: string },
): Promise<PlaceWeather> {
  const clock = siteClock(place.zone);
  const source = createWeatherSource(config, {
    ...place,
    clock,
    clockIn: siteClock,
    baseFolder: dirname(PACKAGED),
  });
  const startOf = (day: string) => clock.startOf(day as Parameters<typeof clock.startOf>[0]);
  const fromMs = startOf(span.from);
  const toMs = startOf(span.to);
  const reading = await source.read({ fromMs, toMs, nowMs: toMs });
  const { hours } = completeHours(reading, place, { fromMs: fromMs + 3 * DAY_MS, toMs });
  return { place, reading, hours };
}
