import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import { type DayOutlook, outlookHours } from '../../../calc/sky/outlook-hours.ts';
import { sunOfHour } from '../../../calc/sky/sun-geometry.ts';
import { sunTimes } from '../../../calc/sky/sun-times.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;
/** An invented summer day at 39° N, 105° W, in a zone six hours behind. */
const dayStartMs = Date.UTC(2026, 6, 1, 6);
const OUTLOOK: DayOutlook = {
  dayStartMs,
  dayEndMs: dayStartMs + 24 * HOUR_MS,
  origin: 'forecast',
  highC: 33,
  lowC: 15,
  windMPerS: 3,
  windHeightM: 10,
  rainMm: 6,
  place: { latitudeDeg: 39, longitudeDeg: -105, elevationM: 1600 },
};

type NumberField = 'airTempC' | 'dewPointC' | 'windMPerS' | 'solarMjPerM2' | 'rainMm';
const values = (hours: RawHour[], field: NumberField): number[] =>
  hours.map((hour) => hour[field] ?? Number.NaN);
const sum = (list: number[]): number => list.reduce((total, value) => total + value, 0);

describe('the hours of a daily outlook', () => {
  const hours = outlookHours(OUTLOOK);

  it('cover the day in order', () => {
    expect(hours.map(({ startMs }) => (startMs - dayStartMs) / HOUR_MS)).toEqual(
      Array.from({ length: 24 }, (_, index) => index),
    );
    expect(
      hours.every(({ origin, windHeightM }) => origin === 'forecast' && windHeightM === 10),
    ).toBe(true);
  });

  it('are coolest about sunrise and hottest about two hours after solar noon', () => {
    const temps = values(hours, 'airTempC');
    const sun = sunTimes({ ...OUTLOOK.place, dayStartMs });
    const middle = (hour: RawHour | undefined) => (hour?.startMs ?? Number.NaN) + HOUR_MS / 2;
    const coolestMs = middle(hours[temps.indexOf(Math.min(...temps))]);
    const hottestMs = middle(hours[temps.indexOf(Math.max(...temps))]);
    expect(Math.abs(coolestMs - (sun.sunriseMs ?? Number.NaN))).toBeLessThanOrEqual(HOUR_MS);
    expect(Math.abs(hottestMs - sun.noonMs - 2 * HOUR_MS)).toBeLessThanOrEqual(HOUR_MS);
    expect(Math.min(...temps)).toBe(15);
    expect(Math.max(...temps)).toBe(33);
    // Two half cosines have their mean half-way.
    expect(sum(temps) / 24).toBeCloseTo(24, 0);
  });

  it('blow hardest in the afternoon, by day about twice as hard as by night', () => {
    const wind = values(hours, 'windMPerS');
    expect(sum(wind) / 24).toBeCloseTo(3, 12);
    const peak = wind.indexOf(Math.max(...wind));
    expect(peak).toBeGreaterThanOrEqual(12);
    expect(peak).toBeLessThanOrEqual(16);
    const byDay = wind.slice(7, 21);
    const byNight = [...wind.slice(0, 5), ...wind.slice(23)];
    const ratio = sum(byDay) / byDay.length / (sum(byNight) / byNight.length);
    expect(ratio).toBeGreaterThan(1.8);
    expect(ratio).toBeLessThan(2.3);
  });

  it('take the sun from what the outlook says of it, best first', () => {
    const above = sum(
      hours.map(({ startMs }) => sunOfHour({ ...OUTLOOK.place, startMs }).extraterrestrialMjPerM2),
    );
    expect(sum(values(hours, 'solarMjPerM2'))).toBeCloseTo(0.16 * Math.sqrt(18) * above, 9);
    const cloudy = outlookHours({ ...OUTLOOK, cloudFraction: 0.8 });
    // FAO-56, Eq. 35, with a fifth of the sunshine.
    expect(sum(values(cloudy, 'solarMjPerM2'))).toBeCloseTo(0.35 * above, 9);
    const known = outlookHours({ ...OUTLOOK, cloudFraction: 0.8, solarMjPerM2: 20 });
    expect(sum(values(known, 'solarMjPerM2'))).toBeCloseTo(20, 9);
  });

  it('rain evenly over the day or over their window', () => {
    expect(values(hours, 'rainMm')).toEqual(Array(24).fill(0.25));
    const storm = { startMs: dayStartMs + 15.5 * HOUR_MS, endMs: dayStartMs + 17.5 * HOUR_MS };
    const rain = values(outlookHours({ ...OUTLOOK, rainWindow: storm }), 'rainMm');
    expect(rain.slice(14, 19)).toEqual([0, 1.5, 3, 1.5, 0]);
    expect(sum(rain)).toBe(6);
  });

  it('take the dew point as given, or as the low, and never above the air', () => {
    expect(new Set(values(hours, 'dewPointC'))).toEqual(new Set([15]));
    const dew = outlookHours({ ...OUTLOOK, dewPointC: 18 });
    for (const hour of dew) {
      expect(hour.dewPointC).toBe(Math.min(18, hour.airTempC ?? Number.NaN));
    }
  });

  it('give the day back on days of 23, 24 and 25 hours, anywhere on earth', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(23, 24, 25),
        fc.integer({ min: 0, max: 365 }),
        fc.integer({ min: -12, max: 14 }),
        fc.double({ min: -89, max: 89, noNaN: true }),
        fc.double({ min: -30, max: 40, noNaN: true }),
        fc.double({ min: 0, max: 25, noNaN: true }),
        fc.double({ min: 0, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 100, noNaN: true }),
        (hoursInDay, day, zoneH, latitudeDeg, lowC, range, windMPerS, rainMm) => {
          const start = Date.UTC(2024, 0, 1 + day) - zoneH * HOUR_MS;
          const outlook: DayOutlook = {
            ...OUTLOOK,
            dayStartMs: start,
            dayEndMs: start + hoursInDay * HOUR_MS,
            lowC,
            highC: lowC + range,
            windMPerS,
            rainMm,
            place: {
              latitudeDeg,
              longitudeDeg: Math.max(-180, Math.min(180, zoneH * 15)),
              elevationM: 0,
            },
          };
          const out = outlookHours(outlook);
          expect(out).toHaveLength(hoursInDay);
          const temps = values(out, 'airTempC');
          expect(Math.min(...temps)).toBeCloseTo(lowC, 9);
          expect(Math.max(...temps)).toBeCloseTo(lowC + range, 9);
          expect(sum(temps) / hoursInDay).toBeGreaterThan(lowC + 0.4 * range - 1e-9);
          expect(sum(temps) / hoursInDay).toBeLessThan(lowC + 0.6 * range + 1e-9);
          expect(sum(values(out, 'windMPerS')) / hoursInDay).toBeCloseTo(windMPerS, 9);
          expect(sum(values(out, 'rainMm'))).toBeCloseTo(rainMm, 9);
          for (const field of ['dewPointC', 'windMPerS', 'solarMjPerM2', 'rainMm'] as const) {
            expect(values(out, field).every(Number.isFinite)).toBe(true);
          }
          expect(Math.min(...values(out, 'solarMjPerM2'))).toBeGreaterThanOrEqual(0);
          // Nothing is left to fill.
          const { hours: complete, gaps } = filledWeather({ hours: out, place: outlook.place });
          expect(gaps).toEqual([]);
          expect(complete.flatMap(({ filled }) => filled)).toEqual([]);
        },
      ),
      { seed: 15, numRuns: 200 },
    );
  });

  it('refuse an impossible day', () => {
    expect(() => outlookHours({ ...OUTLOOK, highC: 10 })).toThrow(
      'outlookHours: highC is out of range (got 10); give 15 to 80',
    );
    expect(() => outlookHours({ ...OUTLOOK, dayEndMs: dayStartMs + 23.5 * HOUR_MS })).toThrow(
      'outlookHours: not a day of whole hours (got 23.5 h); give the first instants of a local day and of the next',
    );
    expect(() => outlookHours({ ...OUTLOOK, solarMjPerM2: 60 })).toThrow(RangeError);
    expect(() =>
      outlookHours({ ...OUTLOOK, rainWindow: { startMs: dayStartMs, endMs: dayStartMs } }),
    ).toThrow('give a window within the day');
  });
});
