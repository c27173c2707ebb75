import { describe, expect, it } from 'vitest';
import { hourGrid } from '../../../adapters/weather/hour-grid.ts';
import { columnUnit } from '../../../adapters/weather/measured-fields.ts';
import type { TelemetryReading } from '../../../adapters/weather/mqtt-message.ts';
import { telemetryHours } from '../../../adapters/weather/telemetry.ts';
import { HOUR_MS } from './weather-folder.ts';

const MIN_MS = 60_000;
const FROM_MS = Date.UTC(2026, 6, 1);

function unit(field: Parameters<typeof columnUnit>[0], spelling: string) {
  const known = columnUnit(field, spelling);
  if (known === null) throw new Error(`no unit ${spelling}`);
  return known;
}

const units = new Map([
  ['air_temp', unit('air_temp', '°C')],
  ['solar', unit('solar', 'W/m²')],
  ['rain', unit('rain', 'mm')],
] as const);

const hours = (readings: TelemetryReading[], nowH = 6) =>
  telemetryHours(readings, {
    where: 'mast',
    units,
    grid: hourGrid(FROM_MS, FROM_MS + 24 * HOUR_MS),
    stamps: 'hour_ending',
    windHeightM: 2,
    nowMs: FROM_MS + nowH * HOUR_MS,
  });

describe('readings brought together by hour', () => {
  it('are averaged where they are levels and added up where they are amounts, each by its own pace', () => {
    const readings: TelemetryReading[] = [];
    for (let min = 1; min <= 120; min++) {
      const values: TelemetryReading['values'] = { air_temp: min <= 60 ? 20 : 30 };
      if (min % 10 === 0) Object.assign(values, { rain: 0.2 });
      if (min % 30 === 0) Object.assign(values, { solar: 500 });
      // Clocks jitter by some seconds.
      readings.push({
        atMs: FROM_MS + min * MIN_MS - (min % 60 === 0 ? 0 : (min % 7) * 500),
        values,
      });
    }
    const made = hours(readings);
    expect(made.problems).toEqual([]);
    expect(made.hours).toMatchObject([
      {
        startMs: FROM_MS,
        origin: 'observed',
        airTempC: 20,
        rainMm: expect.closeTo(1.2, 9),
        solarMjPerM2: expect.closeTo(1.8, 9),
      },
      { startMs: FROM_MS + HOUR_MS, airTempC: 30, rainMm: expect.closeTo(1.2, 9) },
    ]);
  });

  it('give no level from fewer than half of the readings of an hour', () => {
    const at = (min: number) => ({
      atMs: FROM_MS + min * MIN_MS,
      values: { air_temp: 20, rain: 1 },
    });
    const whole = Array.from({ length: 60 }, (_, min) => at(min + 1));
    const part = Array.from({ length: 29 }, (_, min) => at(61 + min));
    expect(hours([...whole, ...part]).hours[1]).toMatchObject({ airTempC: null, rainMm: 29 });
    expect(hours([...whole, ...part, at(90)]).hours[1]).toMatchObject({ airTempC: 20 });
  });

  it('leave the hour that is not over yet', () => {
    const readings = [30, 60, 90].map((min) => ({
      atMs: FROM_MS + min * MIN_MS,
      values: { air_temp: 20 },
    }));
    expect(hours(readings, 1.9).hours.map(({ startMs }) => startMs)).toEqual([FROM_MS]);
  });

  it('count a repeated message once, and tell a time that comes with two values', () => {
    const one = { atMs: FROM_MS + MIN_MS, values: { rain: 2 } };
    expect(hours([one, one]).hours).toMatchObject([{ rainMm: 2 }]);
    const made = hours([one, { ...one, values: { rain: 3 } }]);
    expect(made.hours).toMatchObject([{ rainMm: 3 }]);
    expect(made.problems).toMatchObject([{ rule: 'duplicate_stamp', done: 'the later one kept' }]);
  });
});
