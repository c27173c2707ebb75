import { describe, expect, it } from 'vitest';
import { dayRanges } from '../../../calc/sky/missing-weather.ts';

const HOUR_MS = 3_600_000;

/** Invented hours at the prime meridian from an hour of 1 July on, each as warm as its number. */
const hoursFrom = (first: number, count: number) =>
  Array.from({ length: count }, (_, index) => ({
    startMs: Date.UTC(2026, 6, 1, first + index),
    airTempC: first + index,
  }));

describe('the range of the day around an hour', () => {
  it('is that of its solar day where the series has all of it', () => {
    const ranges = dayRanges(hoursFrom(0, 72), 0);
    expect(ranges[0]).toEqual({ lowC: 0, highC: 23, hours: 24 });
    expect(ranges[23]).toEqual({ lowC: 0, highC: 23, hours: 24 });
    expect(ranges[24]).toEqual({ lowC: 24, highC: 47, hours: 24 });
    expect(ranges[71]).toEqual({ lowC: 48, highC: 71, hours: 24 });
    // A quarter of the way round to the east the sun's day begins six hours sooner.
    expect(dayRanges(hoursFrom(0, 72), 90)[20]).toEqual({ lowC: 18, highC: 41, hours: 24 });
  });

  it('is that of the nearest 24 hours where a series begins or ends within the day', () => {
    const ranges = dayRanges(hoursFrom(12, 48), 0);
    expect(ranges[0]).toEqual({ lowC: 12, highC: 35, hours: 24 });
    // 04:00 of the next day has its own day whole; 08:00 of the last one looks back.
    expect(ranges[16]).toEqual({ lowC: 24, highC: 47, hours: 24 });
    expect(ranges[44]).toEqual({ lowC: 36, highC: 59, hours: 24 });
    // Twelve hours on both sides, as far as they go.
    const short = dayRanges(hoursFrom(20, 27), 0);
    expect(short[13]).toEqual({ lowC: 21, highC: 44, hours: 24 });
    expect(dayRanges(hoursFrom(6, 5), 0)[2]).toEqual({ lowC: 6, highC: 10, hours: 5 });
    expect(dayRanges([], 0)).toEqual([]);
  });

  it('leaves out an hour that is missing', () => {
    const hours = hoursFrom(0, 48).filter(
      ({ startMs }) => startMs !== 7 * HOUR_MS + Date.UTC(2026, 6, 1),
    );
    // The day is not whole: the nearest 24 hours, which are the same ones here.
    expect(dayRanges(hours, 0)[3]).toEqual({ lowC: 0, highC: 23, hours: 23 });
  });
});
