import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import pino from 'pino';
import { expect, it, onTestFinished } from 'vitest';
import { startDaemon } from '../../daemon/service/daemon.ts';
import { loadConfig } from '../../daemon/site/config/load.ts';
import { openWeather } from '../../daemon/site/config/open-weather.ts';
import { openDatabase } from '../../daemon/site/store/database.ts';
import { newestPlan } from '../../daemon/site/store/plans.ts';
import { weatherMemory } from '../../daemon/site/store/weather-readings.ts';
import { jsonServer } from '../adapters/weather/json-server.ts';
import { scratchFolder } from '../scratch-site.ts';
import { dewbeat } from './command-line.ts';

const HOUR_MS = 3_600_000;
const NOW_MS = Date.parse('2026-07-10T05:00:00Z');

const config = (url: string) => `
site: { id: gull-flat, name: Gull Flat (invented), latitude: 40, longitude: 0, elevation: 20 m, zone: Etc/UTC }
weather:
  source: http_json
  name: fixture forecast
  url: ${url}
  stamps: hour_beginning
  wind_height: 10 m
  time: { at: /time, form: iso }
  fields: { air_temp: { at: /t, unit: °C }, wind: { at: /w, unit: m/s } }
  usual: [{ month: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }]
outputs: [{ output: file, folder: out }]
supply: { pump_flow: 800 L/min }
beds: [{ id: bed-a, area: 450 m², sand: medium_over_gravel, water_before_seeding: true }]
stations: [{ id: a1, bed: bed-a, flow: 200 L/min, rate: { stated: 16 mm/h }, rotation: 120 s, measured: true }]
`;

/** An invented forecast from three days before now to two after. */
function forecast(): string {
  const starts = Array.from({ length: 120 }, (_, hour) => NOW_MS + (hour - 77) * HOUR_MS);
  return JSON.stringify({
    time: starts.map((startMs) => new Date(startMs).toISOString()),
    t: starts.map(
      (startMs) => 24 + 6 * Math.sin(((new Date(startMs).getUTCHours() - 9) * Math.PI) / 12),
    ),
    w: starts.map((_, hour) => 3 + (hour % 3)),
  });
}

it('a daemon gathers its forecast, and what it gathered outlives it and the service', async () => {
  const server = await jsonServer();
  server.answer((response) => response.end(forecast()));
  const cwd = scratchFolder();
  writeFileSync(join(cwd, 'dewbeat.yaml'), config(server.url));
  const loaded = loadConfig(join(cwd, 'dewbeat.yaml'));
  if (!loaded.ok) throw new Error('the config does not load');
  const db = openDatabase(loaded.config.dataFolder);
  onTestFinished(() => {
    if (db.open) db.close();
  });
  const now = () => NOW_MS;
  const weather = openWeather(loaded.config, undefined, { now, memory: weatherMemory(db) });
  const log = pino({ level: 'silent' });
  const daemon = await startDaemon({ config: loaded.config, db, weather, log, now });
  await expect
    .poll(
      async () =>
        (await weather.read({ fromMs: NOW_MS, toMs: NOW_MS + HOUR_MS, nowMs: NOW_MS })).hours
          .length,
    )
    .toBe(1);
  await daemon.nudge();
  const plan = newestPlan(db)?.plan;
  expect(plan?.weather.shares).toEqual([
    { source: 'fixture forecast', origin: 'forecast', hours: 19, asOfMs: NOW_MS },
  ]);
  expect(plan?.weather.standInH).toBeUndefined();
  await daemon.stop();
  db.close();
  await server.close();

  // Hours later, without the service: the last good answer stands and tells its age.
  const later = await dewbeat(['plan'], { cwd, nowMs: NOW_MS + 5 * HOUR_MS });
  expect(later.out).toContain('h forecast: fixture forecast, of 05:00, 5.0 h old');
  expect(later.out).not.toContain('weather_stands_in');

  // Too old, it counts neither for now nor for later: an earlier day of it stands in.
  const late = await dewbeat(['plan'], { cwd, nowMs: NOW_MS + 13 * HOUR_MS });
  expect(late.out).toContain('fixture forecast is 13.0 h old (of 05:00, over its 12 h)');
  expect(late.out).toContain('weather_stands_in');
  const told = await dewbeat(['weather'], { cwd, nowMs: NOW_MS + 13 * HOUR_MS });
  expect(told.err).toContain('fixture forecast: it cannot be reached (got ECONNREFUSED)');
  expect(told.out).toMatch(/\d+ h carried: fixture forecast, of 05:00, 13.0 h old/);
});

it('a daemon that is stopped within a turn of its jobs begins none of those behind', async () => {
  const cwd = scratchFolder();
  writeFileSync(join(cwd, 'dewbeat.yaml'), config('http://127.0.0.1:9/none'));
  const loaded = loadConfig(join(cwd, 'dewbeat.yaml'));
  if (!loaded.ok) throw new Error('the config does not load');
  const db = openDatabase(loaded.config.dataFolder);
  const now = () => NOW_MS;
  const weather = openWeather(loaded.config, undefined, { now, memory: weatherMemory(db) });
  const log = pino({ level: 'silent' });
  const daemon = await startDaemon({ config: loaded.config, db, weather, log, now });
  const turn = daemon.nudge();
  await daemon.stop();
  db.close();
  await turn;
  const rounds = daemon.rounds();
  expect(rounds.filter((one) => one.rounds > 0).length).toBeLessThan(rounds.length / 2);
  expect(rounds.map(({ fault }) => fault)).toEqual(rounds.map(() => null));
});
