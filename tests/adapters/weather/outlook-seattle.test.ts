import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import { createWeatherSource, weatherConfigSchema } from '../../../adapters/weather/combined.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { HOUR_MS } from './weather-folder.ts';

// Daily weather of Seattle, 2012 to 2015: NOAA, as carried by the package `vega-datasets`.
const FILE = fileURLToPath(
  new URL('../../../node_modules/vega-datasets/data/seattle-weather.csv', import.meta.url),
);
interface PublishedDay {
  date: string;
  precipitation: string;
  temp_max: string;
  temp_min: string;
  wind: string;
}
const published: PublishedDay[] = parse(readFileSync(FILE, 'utf8'), { columns: true });
const clock = siteClock('America/Los_Angeles');
const source = createWeatherSource(
  weatherConfigSchema.parse({
    source: 'outlook',
    wind_height: '10 m',
    daily_file: {
      file: FILE,
      day: { column: 'date' },
      columns: {
        high: { column: 'temp_max', unit: '°C' },
        low: { column: 'temp_min', unit: '°C' },
        wind: { column: 'wind', unit: 'm/s' },
        rain: { column: 'precipitation', unit: 'mm' },
      },
    },
  }),
  {
    clock,
    clockIn: siteClock,
    latitudeDeg: 47.45,
    longitudeDeg: -122.31,
    elevationM: 130,
    baseFolder: '/',
  },
);

const readDays = async (first: string, past: string) => {
  const fromMs = clock.startOf(first as SiteDay);
  const toMs = clock.startOf(past as SiteDay);
  return { fromMs, toMs, reading: await source.read({ fromMs, toMs, nowMs: toMs }) };
};

describe('real daily weather as an outlook', () => {
  it('has all the published days', () => {
    expect(published).toHaveLength(1461);
    expect(published.filter(({ date }) => date.slice(5, 7) === '07')).toHaveLength(124);
  });

  it.each(['2012', '2013', '2014', '2015'])('conserves each day of July %s', async (year) => {
    const { fromMs, reading } = await readDays(`${year}-07-01`, `${year}-08-01`);
    expect(reading.problems).toEqual([]);
    expect(reading.hours.map(({ startMs }) => startMs)).toEqual(
      Array.from({ length: 31 * 24 }, (_, index) => fromMs + index * HOUR_MS),
    );
    for (const row of published.filter(({ date }) => date.startsWith(`${year}-07`))) {
      const hours = reading.hours.filter(({ startMs }) => clock.siteDayOf(startMs) === row.date);
      const temps = hours.map(({ airTempC }) => airTempC ?? Number.NaN);
      const sum = (values: (number | null)[]) =>
        values.reduce<number>((total, value) => total + (value ?? Number.NaN), 0);
      expect(hours).toHaveLength(24);
      expect(Math.max(...temps)).toBeCloseTo(Number(row.temp_max), 9);
      expect(Math.min(...temps)).toBeCloseTo(Number(row.temp_min), 9);
      expect(sum(hours.map((hour) => hour.windMPerS)) / 24).toBeCloseTo(Number(row.wind), 9);
      expect(sum(hours.map((hour) => hour.rainMm))).toBeCloseTo(Number(row.precipitation), 9);
      expect(hours.every((hour) => hour.origin === 'observed' && hour.windHeightM === 10)).toBe(
        true,
      );
      // Nobody told these: they stay open for the procedure that names itself.
      expect(hours.every((hour) => hour.dewPointC === null && hour.solarMjPerM2 === null)).toBe(
        true,
      );
      const warmestAt = clock.localOf(hours[temps.indexOf(Math.max(...temps))]?.startMs ?? 0).hour;
      expect(warmestAt).toBeGreaterThanOrEqual(13);
      expect(warmestAt).toBeLessThanOrEqual(16);
    }
  });

  it.each([
    ['2012-03-11', '2012-03-12', 23],
    ['2012-11-04', '2012-11-05', 25],
    ['2012-02-29', '2012-03-01', 24],
  ])('gives %s its own hours', async (day, next, count) => {
    const { fromMs, toMs, reading } = await readDays(day, next);
    const row = published.find(({ date }) => date === day);
    expect(reading.hours).toHaveLength(count);
    expect((toMs - fromMs) / HOUR_MS).toBe(count);
    const rain = reading.hours.reduce((sum, { rainMm }) => sum + (rainMm ?? Number.NaN), 0);
    expect(rain).toBeCloseTo(Number(row?.precipitation), 9);
    const temps = reading.hours.map(({ airTempC }) => airTempC ?? Number.NaN);
    expect(Math.max(...temps)).toBeCloseTo(Number(row?.temp_max), 9);
    expect(Math.min(...temps)).toBeCloseTo(Number(row?.temp_min), 9);
  });

  it('gives all four years without a hole', async () => {
    const { fromMs, toMs, reading } = await readDays('2012-01-01', '2016-01-01');
    expect(reading.problems).toEqual([]);
    expect(reading.hours).toHaveLength((toMs - fromMs) / HOUR_MS);
  });

  it('gives no hours beyond the file', async () => {
    const { reading } = await readDays('2015-12-31', '2016-01-03');
    expect(reading.hours).toHaveLength(24);
    expect(reading.asOfMs).not.toBeNull();
  });
});
