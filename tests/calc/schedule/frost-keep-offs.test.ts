import { describe, expect, it } from 'vitest';
import { frostKeepOffs } from '../../../calc/schedule/water-hours.ts';
import type { WeatherHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;
const hours = (...airTempsC: number[]) =>
  airTempsC.map((airTempC, index) => ({ startMs: index * HOUR_MS, airTempC }) as WeatherHour);
const stretches = (...airTempsC: number[]) =>
  frostKeepOffs({ hours: hours(...airTempsC), bedIds: ['g1'], limitC: 2 }).map((off) => [
    off.startMs / HOUR_MS,
    off.endMs / HOUR_MS,
  ]);

describe('frostKeepOffs', () => {
  it('covers each spell at or below the limit from its first hour to the end of its last', () => {
    expect(stretches(3, 2, 1, 2.1, 5, 0)).toEqual([
      [1, 3],
      [5, 6],
    ]);
    expect(stretches(2.1, 9)).toEqual([]);
  });

  it('keeps every bed off, and says why', () => {
    const offs = frostKeepOffs({ hours: hours(0), bedIds: ['g1', 'g2'], limitC: 2 });
    expect(offs.map((off) => [off.bedId, off.kind])).toEqual([
      ['g1', 'frost'],
      ['g2', 'frost'],
    ]);
  });
});
