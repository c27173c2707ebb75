import { describe, expect, it, onTestFinished } from 'vitest';
import { mqttSource } from '../../../adapters/weather/mqtt.ts';
import { mqttWeatherSchema } from '../../../adapters/weather/mqtt-message.ts';
import type { WeatherMemory } from '../../../adapters/weather/source.ts';
import { weatherMemory } from '../../../daemon/site/store/weather-readings.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { type BrokerSettings, findBroker, freePort, startBroker } from '../../broker.ts';
import { listen } from '../../listener.ts';
import { scratchDatabase } from '../../scratch-site.ts';
import { clock, DAY, HOUR_MS } from './weather-folder.ts';

const READINGS = [
  {
    topic: 'mast/all',
    time: { form: 'epoch_ms', at: '/ms' },
    fields: { air_temp: { at: '/t', unit: '°C' }, rain: { at: '/r', unit: 'mm' } },
  },
  { topic: 'mast/wind', fields: { wind: { unit: 'km/h' } } },
];

function station(url: string, memory: WeatherMemory, change: object = {}) {
  const nowMs = DAY.fromMs + 12 * HOUR_MS;
  const config = mqttWeatherSchema.parse({
    source: 'mqtt',
    name: 'mast',
    url,
    retry: '0.1 s',
    wind_height: '2 m',
    readings: READINGS,
    ...change,
  });
  const source = mqttSource(config, {
    clock,
    clockIn: siteClock,
    latitudeDeg: 40,
    longitudeDeg: -119,
    elevationM: 100,
    baseFolder: '/',
    now: () => nowMs,
    memory,
  });
  onTestFinished(() => source.stop?.());
  return { source, read: () => source.read({ ...DAY, nowMs }) };
}

async function broker(settings: BrokerSettings = {}) {
  const running = await startBroker(settings);
  onTestFinished(running.stop);
  const listener = await listen(running.url, 'none');
  onTestFinished(listener.close);
  return { ...running, say: listener.say };
}

const message = (hour: number, min: number, t: number) =>
  JSON.stringify({ ms: DAY.fromMs + hour * HOUR_MS + min * 60_000, t, r: 0.1 });

const hoursOf = (read: () => Promise<{ hours: unknown[] }>) => () =>
  read().then(
    ({ hours }) => hours.length,
    () => 0,
  );

describe.skipIf(findBroker() === null)('telemetry over a real broker', () => {
  it('is heard, kept over a restart, and seen by a process that hears nothing itself', async () => {
    const { url, say } = await broker();
    const memory = weatherMemory(scratchDatabase());
    const daemon = station(url, memory);
    await expect(daemon.read()).rejects.toThrow('mast: no reading has come yet');
    daemon.source.start?.();
    // Said again and again until the topics are heard: the broker hands out no past.
    await expect
      .poll(
        async () => {
          for (const min of [10, 20, 30, 40, 50, 60])
            await say('mast/all', message(9, min, 18 + min / 10));
          return hoursOf(daemon.read)();
        },
        { timeout: 8000 },
      )
      .toBe(1);
    await daemon.source.stop?.();
    const restarted = station(url, memory);
    const { hours, asOfMs, problems } = await restarted.read();
    expect(problems).toEqual([]);
    expect(asOfMs).toBe(DAY.fromMs + 10 * HOUR_MS);
    expect(hours).toMatchObject([
      { origin: 'observed', airTempC: expect.closeTo(21.5, 9), rainMm: expect.closeTo(0.6, 9) },
    ]);
  });

  it('does not take a kept number without a stamp for now, and tells it', async () => {
    const { url, say } = await broker();
    await say('mast/all', message(8, 60, 20));
    const publisher = await import('mqtt').then(({ connectAsync }) => connectAsync(url));
    onTestFinished(async () => publisher.endAsync(true));
    await publisher.publishAsync('mast/wind', '36', { qos: 1, retain: true });
    await publisher.publishAsync('mast/all', message(8, 50, 20), { qos: 1, retain: true });
    const { source, read } = station(url, weatherMemory(scratchDatabase()));
    source.start?.();
    await expect.poll(hoursOf(read), { timeout: 8000 }).toBe(1);
    await expect
      .poll(async () => (await read()).problems.map(({ rule }) => rule), { timeout: 8000 })
      .toEqual(['retained_unstamped']);
    expect((await read()).hours[0]?.windMPerS).toBeNull();
  });

  it('asks with the name and the password of the environment, and says when they are missing', async () => {
    const person = { name: 'mast', password: 'only-for-this-test' };
    const { url, stop } = await startBroker({ person });
    onTestFinished(stop);
    const secret = { username_env: 'DEWBEAT_TEST_MAST', password_env: 'DEWBEAT_TEST_MAST_WORD' };
    const memory = weatherMemory(scratchDatabase());
    const without = station(url, memory, secret);
    without.source.start?.();
    await expect
      .poll(() => without.read().catch(String))
      .toContain('username_env: the variable is not set (got DEWBEAT_TEST_MAST)');
    process.env['DEWBEAT_TEST_MAST'] = person.name;
    process.env['DEWBEAT_TEST_MAST_WORD'] = person.password;
    onTestFinished(() => {
      delete process.env['DEWBEAT_TEST_MAST'];
      delete process.env['DEWBEAT_TEST_MAST_WORD'];
    });
    const { connectAsync } = await import('mqtt');
    const publisher = await connectAsync(url, { username: person.name, password: person.password });
    onTestFinished(async () => publisher.endAsync(true));
    await publisher.publishAsync('mast/all', message(7, 60, 20), { qos: 1, retain: true });
    const { source, read } = station(url, memory, secret);
    source.start?.();
    await expect.poll(hoursOf(read), { timeout: 8000 }).toBe(1);
  });

  it('starts and stops at once where there is no broker, and says that it is away', async () => {
    const url = `mqtt://127.0.0.1:${await freePort()}`;
    const { source, read } = station(url, weatherMemory(scratchDatabase()));
    const startedMs = Date.now();
    source.start?.();
    await expect
      .poll(() => read().catch(String))
      .toMatch(/no reading has come yet \(got none; .+\)/);
    await source.stop?.();
    expect(Date.now() - startedMs).toBeLessThan(4000);
  });
});
