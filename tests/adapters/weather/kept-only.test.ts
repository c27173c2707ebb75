import { expect, it } from 'vitest';
import { httpJsonConfigSchema, httpJsonSource } from '../../../adapters/weather/http-json.ts';
import { weatherMemory } from '../../../daemon/site/store/weather-readings.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { scratchDatabase } from '../../scratch-site.ts';
import { jsonServer } from './json-server.ts';
import { clock, DAY, HOUR_MS } from './weather-folder.ts';

const CONFIG = {
  source: 'http_json',
  name: 'fixture',
  stamps: 'hour_beginning',
  wind_height: '10 m',
  time: { form: 'iso', at: '/time' },
  fields: { air_temp: { at: '/temp', unit: '°C' } },
};

it('a source of which another process collects asks nobody, and sees what was kept since', async () => {
  const server = await jsonServer();
  const tell = (airTempC: number) =>
    server.answer((response) =>
      response.end(JSON.stringify({ time: ['2026-07-01T12:00'], temp: [airTempC] })),
    );
  const memory = weatherMemory(scratchDatabase());
  let nowMs = DAY.fromMs + 10 * HOUR_MS;
  const source = (keptOnly: boolean) =>
    httpJsonSource(httpJsonConfigSchema.parse({ ...CONFIG, url: server.url }), {
      clock,
      clockIn: siteClock,
      latitudeDeg: 40,
      longitudeDeg: -119,
      elevationM: 100,
      baseFolder: '/',
      now: () => nowMs,
      memory,
      keptOnly,
    });
  const [collects, reads] = [source(false), source(true)];
  await expect(reads.read({ ...DAY, nowMs })).rejects.toThrow('no answer has come yet');
  const tempOf = async (one: typeof reads) =>
    (await one.read({ ...DAY, nowMs })).hours.map(({ airTempC }) => airTempC);
  tell(21);
  expect(await tempOf(collects)).toEqual([21]);
  expect(await tempOf(reads)).toEqual([21]);
  expect(server.asked).toHaveLength(1);
  nowMs += 6 * HOUR_MS;
  tell(24);
  expect(await tempOf(reads)).toEqual([21]);
  expect(server.asked).toHaveLength(1);
  expect(await tempOf(collects)).toEqual([24]);
  expect(await tempOf(reads)).toEqual([24]);
  expect(server.asked).toHaveLength(2);
});
