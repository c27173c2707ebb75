import { describe, expect, it } from 'vitest';
import { carriedHours } from '../../../calc/sky/carried-hours.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;

const hourOf = (index: number, rainMm: number): RawHour => ({
  startMs: index * HOUR_MS,
  origin: 'observed',
  airTempC: 15 + index,
  dewPointC: 10,
  relativeHumidityPct: null,
  windMPerS: 2,
  windHeightM: 2,
  solarMjPerM2: 1,
  rainMm,
});

describe('carriedHours', () => {
  it('carries yesterday’s hours, and not their rain', () => {
    const known = [hourOf(0, 0), hourOf(1, 6)];
    const hours = carriedHours(known, { fromMs: 0, toMs: 26 * HOUR_MS });
    expect(hours.slice(0, 2)).toEqual(known);
    expect(hours.slice(2)).toEqual(
      known.map((hour) => ({
        ...hour,
        startMs: hour.startMs + 24 * HOUR_MS,
        origin: 'carried',
        rainMm: 0,
      })),
    );
  });
});
