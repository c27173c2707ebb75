import { describe, expect, it } from 'vitest';
import { combinedSource, type WeatherPart } from '../../../adapters/weather/combined.ts';
import { type WeatherReading, WeatherUnreadable } from '../../../adapters/weather/source.ts';
import type { HourOrigin, RawHour } from '../../../calc/sky/weather-hour.ts';
import { clock, DAY, HOUR_MS } from './weather-folder.ts';

const NOW = { ...DAY, nowMs: DAY.fromMs + 10 * HOUR_MS };

function hours(from: number, to: number, origin: HourOrigin, airTempC: number | null): RawHour[] {
  return Array.from({ length: to - from }, (_, index) => ({
    startMs: DAY.fromMs + (from + index) * HOUR_MS,
    origin,
    airTempC: airTempC === null ? null : airTempC + 0.1 * index,
    dewPointC: null,
    relativeHumidityPct: null,
    windMPerS: null,
    windHeightM: 2,
    solarMjPerM2: null,
    rainMm: null,
  }));
}

function part(
  name: string,
  told: RawHour[],
  rest: Partial<Omit<WeatherPart, 'source'>> & { ageH?: number; writtenAgeH?: number } = {},
): WeatherPart {
  const { ageH = 0, writtenAgeH = ageH, ...own } = rest;
  const reading: WeatherReading = {
    source: name,
    hours: told,
    asOfMs: NOW.nowMs - ageH * HOUR_MS,
    writtenMs: NOW.nowMs - writtenAgeH * HOUR_MS,
    problems: [],
  };
  const source = { kind: name, read: async () => reading };
  return { source, role: 'any', staleAfterS: null, checked: false, ...own };
}

const broken = (name: string): WeatherPart => ({
  ...part(name, []),
  source: {
    kind: name,
    read: () => Promise.reject(new WeatherUnreadable(`${name}: is away (got nothing); wait`)),
  },
});

const read = (...parts: WeatherPart[]) => combinedSource(parts, { clock }).read(NOW);
const origins = (reading: WeatherReading) =>
  reading.hours.map(({ origin, told }) => `${origin} ${told?.source}`);

describe('several sources', () => {
  it('put observed hours in the place of forecast ones, whichever is named first', async () => {
    const station = part('station', hours(0, 10, 'observed', 20));
    const forecast = part('forecast', hours(5, 24, 'forecast', 30));
    const want = [...Array(10).fill('observed station'), ...Array(14).fill('forecast forecast')];
    expect(origins(await read(station, forecast))).toEqual(want);
    expect(origins(await read(forecast, station))).toEqual(want);
  });

  it('believe the first of two that tell the same', async () => {
    const one = part('one', hours(0, 24, 'forecast', 20));
    const two = part('two', hours(0, 24, 'forecast', 30));
    expect(new Set(origins(await read(one, two)))).toEqual(new Set(['forecast one']));
  });

  it('take nothing as measured that a forecast says of the past', async () => {
    const told = part('forecast', hours(0, 24, 'observed', 20), { role: 'forecast' });
    expect(new Set(origins(await read(told)))).toEqual(new Set(['forecast forecast']));
  });

  it('leave out what a station stamps later than now, and tell it', async () => {
    const told = [...hours(0, 10, 'observed', 20), ...hours(10, 12, 'forecast', 20)];
    const reading = await read(part('station', told, { role: 'observed' }));
    expect(reading.hours).toHaveLength(10);
    expect(reading.problems).toMatchObject([{ rule: 'future_stamp', done: 'left out' }]);
  });

  it('take a stale source neither for now nor for later, but for what is past', async () => {
    const old = part('forecast', hours(0, 24, 'forecast', 20), {
      role: 'forecast',
      staleAfterS: 12 * 3600,
      ageH: 13,
    });
    const reading = await read(old);
    expect(reading.hours).toHaveLength(10);
    expect(reading.standings).toMatchObject([{ stale: true, staleAfterH: 12, fault: null }]);
    const young = { ...old, staleAfterS: 14 * 3600 };
    expect((await read(young)).hours).toHaveLength(24);
  });

  it('go by when a forecast was made, and by the youngest reading of a station', async () => {
    const rest = { staleAfterS: 3 * 3600, ageH: 1, writtenAgeH: 5 };
    const told = hours(0, 24, 'forecast', 20);
    expect((await read(part('a', told, { ...rest, role: 'forecast' }))).hours).toHaveLength(10);
    expect((await read(part('a', told, rest))).hours).toHaveLength(24);
  });

  it('go on without one that cannot be read, and say so', async () => {
    const reading = await read(broken('station'), part('forecast', hours(0, 24, 'forecast', 20)));
    expect(reading.hours).toHaveLength(24);
    expect(reading.standings?.[0]).toMatchObject({
      stale: true,
      fault: expect.stringMatching('away'),
    });
    await expect(read(broken('a'), broken('b'))).rejects.toThrow(/a: is away.*\nb: is away/);
  });

  it('let usual days wait for hours that nobody tells', async () => {
    const usual = part('outlook', hours(0, 24, 'usual', 25), { role: 'usual' });
    const reading = await read(part('station', hours(0, 10, 'observed', 20)), usual);
    expect(reading.hours).toHaveLength(10);
    expect(reading.usual).toHaveLength(24);
    expect((await read(broken('station'), usual)).usual).toHaveLength(24);
  });

  it('check measured hours against each other, and name the check', async () => {
    const told = hours(0, 10, 'observed', 20);
    const spiked = told.map((hour, i) => (i === 4 ? { ...hour, airTempC: 45 } : hour));
    const reading = await read(part('station', spiked, { checked: true }));
    expect(reading.hours[4]?.airTempC).toBeNull();
    expect(reading.problems).toMatchObject([{ rule: 'step', done: 'value left out' }]);
  });

  it('leave a thermometer that is silent for more than three hours to what stands in', async () => {
    const silent = (count: number) => [
      ...hours(0, 3, 'observed', 20),
      ...hours(3, 3 + count, 'observed', null),
      ...hours(3 + count, 10, 'observed', 20),
    ];
    expect((await read(part('station', silent(3)))).hours).toHaveLength(10);
    expect((await read(part('station', silent(4)))).hours).toHaveLength(6);
    const forecast = part('forecast', hours(0, 24, 'forecast', 30));
    expect(origins(await read(part('station', silent(4)), forecast)).slice(3, 7)).toEqual(
      Array(4).fill('forecast forecast'),
    );
  });
});
