import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { saturationKPa } from '../../../calc/sky/air.ts';
import {
  calledHours,
  changesNothing,
  DAY_CALL_BOUNDS,
  type DayCall,
  NO_CALL,
} from '../../../calc/sky/day-call.ts';
import { referenceEtSeries } from '../../../calc/sky/reference-et.ts';
import type { HourOrigin, WeatherHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;
const START_MS = Date.parse('2026-07-01T00:00:00Z');
const END_MS = START_MS + 24 * HOUR_MS;
const PLACE = { latitudeDeg: 40, longitudeDeg: 0, elevationM: 100 };

/** An invented day. */
const DAY = Array.from({ length: 30 }, (_, index): WeatherHour => {
  const sun = Math.max(0, Math.sin((((index % 24) - 5) / 14) * Math.PI));
  return {
    startMs: START_MS + index * HOUR_MS,
    origin: index < 8 ? 'observed' : 'forecast',
    airTempC: 16 + 12 * sun,
    vapourPressureKPa: 1.4,
    windMPerS: 2 + sun,
    solarMjPerM2: 2.5 * sun,
    rainMm: 0,
    filled: [],
  };
});

const call = (change: Partial<DayCall>): DayCall => ({
  ...NO_CALL,
  atMs: START_MS + 8 * HOUR_MS,
  ...change,
});
const called = (calls: DayCall[], hours: WeatherHour[] = DAY) =>
  calledHours({ hours, calls, endMs: END_MS, place: PLACE });

describe('a call', () => {
  it('changes nothing only where all of it stays', () => {
    expect(changesNothing(NO_CALL)).toBe(true);
    for (const change of [{ hotterK: 1 }, { windFraction: 0.9 }, { cloudierFraction: 0.1 }]) {
      expect(changesNothing(call(change))).toBe(false);
    }
  });

  it('may take the whole sun of an hour and no more', () => {
    const { atLeast, atMost } = DAY_CALL_BOUNDS.cloudierFraction;
    expect(called([call({ cloudierFraction: atMost })])[13]?.solarMjPerM2).toBe(0);
    expect(atLeast).toBe(-atMost);
  });
});

describe('calledHours', () => {
  it('shifts temperature, wind and sun of the hours to come, and keeps the vapour pressure', () => {
    const hours = called([call({ hotterK: 3, windFraction: 1.5, cloudierFraction: 0.2 })]);
    const before = DAY[13];
    const after = hours[13];
    expect(after?.airTempC).toBeCloseTo((before?.airTempC ?? 0) + 3, 10);
    expect(after?.windMPerS).toBeCloseTo((before?.windMPerS ?? 0) * 1.5, 10);
    expect(after?.solarMjPerM2).toBeCloseTo((before?.solarMjPerM2 ?? 0) * 0.8, 10);
    expect(after?.vapourPressureKPa).toBe(1.4);
  });

  it('leaves observed hours and the next day alone', () => {
    const hours = called([call({ atMs: START_MS, hotterK: 5 })]);
    expect(hours.slice(0, 8)).toEqual(DAY.slice(0, 8));
    expect(hours.slice(24)).toEqual(DAY.slice(24));
    expect(
      hours.slice(8, 24).every((hour, i) => hour.airTempC === (DAY[i + 8]?.airTempC ?? 0) + 5),
    ).toBe(true);
  });

  it.each<HourOrigin>(['forecast', 'carried', 'usual'])(
    'shifts what stands in for a forecast: %s',
    (origin) => {
      const hours = DAY.slice(8, 10).map((hour) => ({ ...hour, origin }));
      expect(called([call({ hotterK: 1 })], hours)[0]?.airTempC).toBe((DAY[8]?.airTempC ?? 0) + 1);
    },
  );

  it('takes for each hour the newest call made before its end', () => {
    const hours = called([
      call({ hotterK: 2 }),
      call({ atMs: START_MS + 12.5 * HOUR_MS, hotterK: 4 }),
      call({ atMs: START_MS + 15 * HOUR_MS }),
    ]);
    const shift = (index: number) => (hours[index]?.airTempC ?? 0) - (DAY[index]?.airTempC ?? 0);
    expect([9, 11, 12, 14, 15].map((index) => Math.round(shift(index)))).toEqual([2, 2, 4, 4, 0]);
  });

  it('lets cooler air give up what it cannot hold', () => {
    const [hour] = called(
      [call({ hotterK: -10 })],
      [{ ...(DAY[8] as WeatherHour), airTempC: 15, vapourPressureKPa: 1.6 }],
    );
    expect(hour?.airTempC).toBe(5);
    expect(hour?.vapourPressureKPa).toBeCloseTo(saturationKPa(5), 10);
  });

  it('keeps a brighter day within a clear sky', () => {
    const bright = called([call({ cloudierFraction: -1 })]);
    // Independent recomputation of FAO-56, Eq. 28 and 37, for that hour: 3.399 MJ/m². The solar
    // constant there has three digits.
    expect(Math.abs((bright[12]?.solarMjPerM2 ?? 0) - 3.399)).toBeLessThan(0.01);
    expect(bright[23]?.solarMjPerM2).toBe(0);
  });

  it('refuses what no forecast can be off by', () => {
    expect(() => called([call({ hotterK: 40 })])).toThrow(
      /calledHours.hotterK: out of range \(got 40\)/,
    );
    expect(() => called([call({ windFraction: -1 })])).toThrow(RangeError);
    expect(() => called([call({ cloudierFraction: 1.2 })])).toThrow(RangeError);
  });

  it('never asks for less water when the day is called hotter and windier', () => {
    const et = (hours: WeatherHour[]) =>
      referenceEtSeries({ hours, place: PLACE })
        .slice(8, 22)
        .reduce((sum, hour) => sum + hour.referenceEtMm, 0);
    const plain = et(DAY);
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 8, noNaN: true }),
        fc.double({ min: 1, max: 3, noNaN: true }),
        (hotterK, windFraction) => {
          expect(et(called([call({ hotterK, windFraction })]))).toBeGreaterThanOrEqual(
            plain - 1e-9,
          );
        },
      ),
      { seed: 7, numRuns: 40 },
    );
  });
});
