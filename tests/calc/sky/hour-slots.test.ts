import { describe, expect, it } from 'vitest';
import { BRIDGE_H, hoursWithTemperature, silentHour } from '../../../calc/sky/missing-weather.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;
const hour = (at: number, airTempC: number | null): RawHour => ({
  startMs: at * HOUR_MS,
  origin: 'forecast',
  airTempC,
  dewPointC: null,
  relativeHumidityPct: null,
  windMPerS: null,
  windHeightM: 2,
  solarMjPerM2: null,
  rainMm: 0.5,
});

const found = (...hours: [number, number | null][]) => {
  const { hours: out, gaps } = hoursWithTemperature(
    hours.map(([at, airTempC]) => hour(at, airTempC)),
    BRIDGE_H,
  );
  return {
    temps: out.map(({ raw, airTempC }) => [raw.startMs / HOUR_MS, airTempC]),
    interpolated: out.filter((one) => one.interpolated).map(({ raw }) => raw.startMs / HOUR_MS),
    gaps: gaps.map(({ startMs, endMs }) => [startMs / HOUR_MS, endMs / HOUR_MS]),
    rainMm: out.map(({ raw }) => raw.rainMm),
  };
};

describe('hours with a temperature', () => {
  it('are those that have one', () => {
    expect(found([5, 10], [6, 12])).toEqual({
      temps: [
        [5, 10],
        [6, 12],
      ],
      interpolated: [],
      gaps: [],
      rainMm: [0.5, 0.5],
    });
    expect(hoursWithTemperature([], BRIDGE_H)).toEqual({ hours: [], gaps: [] });
  });

  it('bridge a silence of three hours in even steps, and none of four', () => {
    const three = found([5, 10], [9, 18]);
    expect(three.temps).toEqual([
      [5, 10],
      [6, 12],
      [7, 14],
      [8, 16],
      [9, 18],
    ]);
    expect(three.interpolated).toEqual([6, 7, 8]);
    expect(three.gaps).toEqual([]);
    // What no source told is silent; what one told without a temperature keeps the rest.
    expect(three.rainMm).toEqual([0.5, null, null, null, 0.5]);
    expect(found([5, 10], [6, null], [7, 14]).rainMm).toEqual([0.5, 0.5, 0.5]);
    const four = found([5, 10], [10, 20]);
    expect(four.interpolated).toEqual([]);
    expect(four.gaps).toEqual([[6, 10]]);
  });

  it('leave open what has no hour before it, or none after it', () => {
    expect(found([5, null], [6, null], [7, 14], [8, null])).toMatchObject({
      temps: [[7, 14]],
      gaps: [
        [5, 7],
        [8, 9],
      ],
    });
    expect(found([5, null], [6, null])).toMatchObject({ temps: [], gaps: [[5, 7]] });
  });

  it('stand in order, each once and whole hours apart', () => {
    const refused = (...starts: number[]) => {
      return () =>
        hoursWithTemperature(
          starts.map((at) => hour(at, 10)),
          BRIDGE_H,
        );
    };
    expect(refused(5, 6, 9)).not.toThrow();
    expect(refused(5, 5)).toThrow('hours out of step');
    expect(refused(6, 5)).toThrow('hours out of step');
    expect(refused(5, 6.5)).toThrow('hours out of step');
    expect(refused(Number.NaN)).toThrow('not an instant');
    expect(refused(5, Number.POSITIVE_INFINITY)).toThrow('not an instant');
  });
});

describe('a silent hour', () => {
  it('is one of the same source of which nothing is told', () => {
    expect(silentHour(7, hour(5, 10))).toEqual({ ...hour(0, null), startMs: 7, rainMm: null });
    expect(silentHour(7, hour(5, 10))).not.toHaveProperty('told');
    const told = { ...hour(5, 10), told: { by: 'a' } as never };
    expect(silentHour(7, told)).toHaveProperty('told', { by: 'a' });
  });
});
