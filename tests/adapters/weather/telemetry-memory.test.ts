import { expect, it } from 'vitest';
import type { KeptWeather, WeatherMemory } from '../../../adapters/weather/source.ts';
import { telemetryMemory } from '../../../adapters/weather/telemetry.ts';

function rig() {
  const kept: (KeptWeather & { source: string })[] = [];
  const writes: number[] = [];
  let recalls = 0;
  let nowMs = 0;
  const store: WeatherMemory = {
    remember: (source, entries) => {
      writes.push(entries.length);
      kept.push(...entries.map((one) => ({ ...one, source })));
    },
    recall: (source, { fromMs, toMs }) => {
      recalls++;
      return kept.filter((one) => one.source === source && one.atMs >= fromMs && one.atMs < toMs);
    },
    newest: () => null,
  };
  const memory = telemetryMemory(store, 'station', {
    name: 'telemetry',
    onFault: (error) => {
      throw error;
    },
    steadyMs: () => nowMs,
  });
  return { memory, kept, writes, recalled: () => recalls, setNow: (ms: number) => (nowMs = ms) };
}

const reading = (atMs: number) => ({ atMs, values: { air_temp: 20 } });

it('keeps a day that a broker hands out at once, no more of a flood, and says so once', async () => {
  const { memory, setNow, writes } = rig();
  for (let nth = 0; nth < 30_000; nth++) memory.add(reading(nth));
  const flooded = await memory.between({ fromMs: 0, toMs: 60_000 });
  expect(flooded.readings).toHaveLength(20_000);
  expect(flooded.problems).toEqual([
    {
      where: 'telemetry',
      what: 'readings come too often (got more than 600 in a minute)',
      done: 'the rest left out',
    },
  ]);
  setNow(60_000);
  for (let nth = 0; nth < 1_000; nth++) memory.add(reading(60_000));
  const later = await memory.between({ fromMs: 60_000, toMs: 60_001 });
  expect(later).toMatchObject({ readings: { length: 600 }, problems: [] });
  expect(Math.max(...writes)).toBeLessThanOrEqual(500);
});

it('keeps a few of refused messages in ten minutes, however many come', async () => {
  const { memory, kept, setNow } = rig();
  for (let ms = 0; ms < 600_000; ms += 1_000) {
    setNow(ms);
    memory.refuse(ms, { where: 'w', what: 'x', done: 'left out' });
    memory.flush();
  }
  expect(kept).toHaveLength(10);
});

it('reads days back in parts, with turns for everything else in between', async () => {
  const { memory, recalled } = rig();
  for (let hour = 0; hour < 72; hour++) memory.add(reading(hour * 3_600_000));
  let turns = 0;
  let underWay = true;
  const turn = () => {
    turns++;
    if (underWay) setImmediate(turn);
  };
  setImmediate(turn);
  const { readings } = await memory.between({ fromMs: 0, toMs: 72 * 3_600_000 });
  underWay = false;
  expect(readings.map(({ atMs }) => atMs / 3_600_000)).toEqual([...Array(72).keys()]);
  expect(recalled()).toBe(13);
  expect(turns).toBeGreaterThanOrEqual(11);
});
