import { describe, expect, it } from 'vitest';
import { openWeatherSource, weatherConfigSchema } from '../../../adapters/weather/combined.ts';
import { ensembleReading, membersSchema } from '../../../adapters/weather/ensemble.ts';
import type { WeatherReading } from '../../../adapters/weather/source.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { jsonServer } from './json-server.ts';
import { clock, DAY, HOUR_MS } from './weather-folder.ts';

const NOW = { ...DAY, nowMs: DAY.fromMs + 10 * HOUR_MS };
const TIMES = Array.from({ length: 24 }, (_, h) => `2026-07-01T${String(h).padStart(2, '0')}:00`);

function source(config: object) {
  return openWeatherSource(
    weatherConfigSchema.parse({
      source: 'http_json',
      name: 'fixture',
      stamps: 'hour_beginning',
      wind_height: '10 m',
      ...config,
    }),
    {
      clock,
      clockIn: siteClock,
      latitudeDeg: 40,
      longitudeDeg: -119,
      elevationM: 100,
      baseFolder: '/',
      now: () => NOW.nowMs,
    },
  );
}

/** An invented answer: three members, each a kelvin warmer than the one before; rain is one for all. */
const lists = {
  hourly: {
    time: TIMES,
    temp_member01: TIMES.map((_, hour) => 10 + hour),
    temp_member02: TIMES.map((_, hour) => 11 + hour),
    temp_member03: TIMES.map((_, hour) => (hour === 20 ? null : 12 + hour)),
    rain: TIMES.map(() => 0.5),
  },
};
const LISTS = {
  time: { form: 'iso', at: '/hourly/time' },
  members: { to: 3, digits: 2 },
  fields: {
    air_temp: { at: '/hourly/temp_member{member}', unit: '°C' },
    rain: { at: '/hourly/rain', unit: 'mm' },
  },
};

describe('an ensemble from an address', () => {
  it('is the mean of its members, which stand beside it for the hours to come', async () => {
    const server = await jsonServer();
    server.answer((response) => response.end(JSON.stringify(lists)));
    const { hours, members, problems } = await source({ ...LISTS, url: server.url }).read(NOW);
    expect(problems).toEqual([]);
    expect(hours).toHaveLength(24);
    expect(hours.map(({ airTempC }) => airTempC)).toEqual(
      TIMES.map((_, hour) => (hour === 20 ? 30.5 : 11 + hour)),
    );
    expect(members).toHaveLength(3);
    for (const [index, one] of (members ?? []).entries()) {
      expect(one.map(({ startMs }) => startMs)).toEqual(
        TIMES.slice(10).map((_, hour) => NOW.nowMs + hour * HOUR_MS),
      );
      expect(one[1]?.airTempC).toBe(10 + index + 11);
      expect(one[1]?.rainMm).toBe(0.5);
    }
    expect(members?.[2]?.[10]?.airTempC).toBeNull();
    expect(server.asked).toHaveLength(1);
  });

  it('may be a list of objects, one a member, numbered from 0', async () => {
    const server = await jsonServer();
    const rows = (kelvin: number) => TIMES.map((t, hour) => ({ t, temp: hour + kelvin }));
    server.answer((response) =>
      response.end(JSON.stringify({ members: [{ hours: rows(0) }, { hours: rows(4) }] })),
    );
    const { hours, members } = await source({
      url: server.url,
      rows: '/members/{member}/hours',
      time: { form: 'iso', at: '/t' },
      members: { from: 0, to: 1 },
      fields: { air_temp: { at: '/temp', unit: '°C' } },
    }).read(NOW);
    expect(hours[15]?.airTempC).toBe(17);
    expect(members?.map((one) => one[5]?.airTempC)).toEqual([15, 19]);
  });

  it('says which member is not there', async () => {
    const server = await jsonServer();
    server.answer((response) => response.end(JSON.stringify(lists)));
    const four = { ...LISTS, members: { to: 4, digits: 2 } };
    await expect(source({ ...four, url: server.url }).read(NOW)).rejects.toThrow(
      'there is no list at /hourly/temp_member04 (got nothing)',
    );
  });

  it('has no members where none are named', async () => {
    const server = await jsonServer();
    server.answer((response) => response.end(JSON.stringify(lists)));
    const reading = await source({
      ...LISTS,
      members: undefined,
      fields: { air_temp: { at: '/hourly/temp_member01', unit: '°C' } },
      url: server.url,
    }).read(NOW);
    expect(reading.members).toBeUndefined();
  });
});

describe('the members of a config', () => {
  it.each([
    [{ to: 30, digits: 2 }, true],
    [{ from: 0, to: 1 }, true],
    [{ from: 1, to: 200 }, true],
    [{ to: 1 }, false],
    [{ from: 5, to: 4 }, false],
    [{ from: 1, to: 201 }, false],
    [{ from: 1 }, false],
  ])('%j: %s', (config, taken) => {
    expect(membersSchema.safeParse(config).success).toBe(taken);
  });
});

describe('readings of members together', () => {
  it('tell a fault of many once, and mean what is there', () => {
    const hour = (startMs: number, windMPerS: number | null): RawHour => ({
      startMs,
      origin: 'forecast',
      airTempC: 20,
      dewPointC: null,
      relativeHumidityPct: null,
      windMPerS,
      windHeightM: 10,
      solarMjPerM2: null,
      rainMm: 0,
    });
    const problem = { where: 'x', what: 'no row for 1 h', done: 'left out' };
    const reading = (hours: RawHour[]): WeatherReading => ({
      source: 'x',
      hours,
      asOfMs: 1,
      problems: [problem],
    });
    const whole = ensembleReading(reading([hour(HOUR_MS, 2)]), [
      reading([hour(0, 4), hour(HOUR_MS, null)]),
      reading([hour(HOUR_MS, 6)]),
    ]);
    expect(whole.problems).toEqual([problem]);
    expect(whole.hours.map(({ startMs, windMPerS }) => [startMs, windMPerS])).toEqual([
      [0, 4],
      [HOUR_MS, 4],
    ]);
    expect(whole.hours[1]?.dewPointC).toBeNull();
  });
});
