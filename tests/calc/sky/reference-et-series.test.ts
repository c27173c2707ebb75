import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import { cloudinessFraction, cloudinessOfHours } from '../../../calc/sky/net-radiation.ts';
import { referenceEtSeries } from '../../../calc/sky/reference-et.ts';
import { sunOfHour } from '../../../calc/sky/sun-geometry.ts';
import type { RawHour, WeatherHour } from '../../../calc/sky/weather-hour.ts';
import { FALLON, FALLON_DAY, FALLON_EVENING_BEFORE } from '../../tables/asce-fallon.ts';
import { fallonRows } from './fallon-rows.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

const { evening, day } = fallonRows();
const complete = (hours: RawHour[]) => filledWeather({ hours, place: FALLON }).hours;
const fallon = referenceEtSeries({ hours: complete([...evening, ...day]), place: FALLON }).slice(
  evening.length,
);

function hour(startMs: number, solarMjPerM2: number): WeatherHour {
  return {
    startMs,
    origin: 'observed',
    airTempC: 18,
    vapourPressureKPa: 1.2,
    windMPerS: 2,
    solarMjPerM2,
    rainMm: 0,
    filled: [],
  };
}

describe('reference ET of Fallon, 2015-07-01, hour by hour', () => {
  it('has the whole day and the evening before', () => {
    expect(FALLON_DAY).toHaveLength(24);
    expect(FALLON_EVENING_BEFORE).toHaveLength(7);
    expect(fallon).toHaveLength(24);
  });

  it.each(FALLON_DAY.filter(([stamp]) => stamp !== 7))(
    'is that of Ref-ET in the hour ending %d:00 PST',
    (...row) => {
      const [stamp, , , , , published] = row;
      // Two printed decimals, and another clear sky in the published run.
      const offMm = (fallon[stamp]?.referenceEtMm ?? Number.NaN) - (published ?? Number.NaN);
      expect(Math.abs(offMm)).toBeLessThan(0.01);
    },
  );

  it('tells the clouds of the hour ending 7:00 from its own sun, where the run kept the night', () => {
    // The sun stands at 0.35 rad. Keeping the evening's cloudiness (1 at most) leaves net radiation
    // negative and takes the night's coefficients: the published 0.05. Its own sun gives 0.12.
    const sunrise = fallon[7];
    const sun = sunOfHour({ ...FALLON, startMs: sunrise?.startMs ?? Number.NaN });
    expect(sun.elevationRad).toBeGreaterThan(0.3);
    expect(sun.elevationRad).toBeLessThan(0.4);
    // Independent recomputation.
    expect(sunrise?.referenceEtMm).toBeCloseTo(0.124, 3);
  });

  it('adds up to the day', () => {
    const sum = fallon.reduce((total, { referenceEtMm }) => total + referenceEtMm, 0);
    const published = FALLON_DAY.reduce((total, [, , , , , mm]) => total + (mm ?? Number.NaN), 0);
    expect(published).toBeCloseTo(7.6, 2);
    // Independent recomputation 7.63; the published sum lacks 0.07 of the hour ending 7:00, and its
    // 24 roundings may add 0.12.
    expect(sum).toBeCloseTo(7.63, 2);
    expect(Math.abs(sum - 0.07 - published)).toBeLessThan(0.12);
  });
});

describe('cloudiness of a series', () => {
  // An invented equinox day on the equator at Greenwich: sunrise about 6:00 UTC.
  const place = { latitudeDeg: 0, longitudeDeg: 0, elevationM: 0 };
  const startMs = Date.UTC(2026, 2, 20);
  const sunnyDay = (fraction: number, fromMs: number): WeatherHour[] =>
    Array.from({ length: 24 }, (_, index) => {
      const atMs = fromMs + index * HOUR_MS;
      const above = sunOfHour({ ...place, startMs: atMs }).extraterrestrialMjPerM2;
      return hour(atMs, 0.75 * above * fraction);
    });

  it('carries the last telling hour through the low sun and the night', () => {
    const hours = [...sunnyDay(0.5, startMs), ...sunnyDay(0.9, startMs + DAY_MS)];
    const clouds = cloudinessOfHours(hours, place);
    const half = cloudinessFraction(0.5);
    expect(clouds.slice(7, 24 + 7).every((fraction) => Math.abs(fraction - half) < 1e-9)).toBe(
      true,
    );
    expect(clouds[24 + 7]).toBeCloseTo(cloudinessFraction(0.9), 9);
  });

  it('takes the first night from the day that follows', () => {
    const clouds = cloudinessOfHours(sunnyDay(0.6, startMs), place);
    expect(clouds[0]).toBeCloseTo(cloudinessFraction(0.6), 9);
  });

  it('takes 0.7 of a clear sky where there is no sun at all', () => {
    expect(cloudinessOfHours([hour(startMs, 0)], place)).toEqual([cloudinessFraction(0.7)]);
  });

  it('tells the clouds of a high winter, where the sun never stands at 0.3 rad, from its days', () => {
    const north = { latitudeDeg: 60, longitudeDeg: 0, elevationM: 0 };
    const hours = Array.from({ length: 72 }, (_, index) => {
      const atMs = Date.UTC(2026, 11, 20) + index * HOUR_MS;
      const above = sunOfHour({ ...north, startMs: atMs }).extraterrestrialMjPerM2;
      return hour(atMs, 0.75 * above * 0.4);
    });
    for (const fraction of cloudinessOfHours(hours, north)) {
      expect(fraction).toBeCloseTo(cloudinessFraction(0.4), 9);
    }
  });
});

describe('reference ET of any series', () => {
  it('is a number in every hour, gaps or not, anywhere', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -90, max: 90, noNaN: true }),
        fc.double({ min: -180, max: 180, noNaN: true }),
        fc.integer({ min: 0, max: 365 }),
        fc.array(
          fc.record({
            skipH: fc.integer({ min: 1, max: 30 }),
            airTempC: fc.double({ min: -40, max: 50, noNaN: true }),
            vapourPressureKPa: fc.double({ min: 0, max: 6, noNaN: true }),
            windMPerS: fc.double({ min: 0, max: 40, noNaN: true }),
            solarMjPerM2: fc.double({ min: 0, max: 5, noNaN: true }),
          }),
          { maxLength: 60 },
        ),
        (latitudeDeg, longitudeDeg, dayOf, steps) => {
          let startMs = Date.UTC(2024, 0, 1 + dayOf);
          const hours = steps.map(({ skipH, ...weather }) => {
            startMs += skipH * HOUR_MS;
            return { ...hour(startMs, 0), ...weather };
          });
          const place = { latitudeDeg, longitudeDeg, elevationM: 100 };
          const out = referenceEtSeries({ hours, place });
          expect(out).toHaveLength(hours.length);
          for (const one of out) expect(Number.isFinite(one.referenceEtMm)).toBe(true);
        },
      ),
      { seed: 13, numRuns: 100 },
    );
  });

  it('refuses hours out of order', () => {
    const hours = [hour(HOUR_MS, 0), hour(0, 0)];
    expect(() => referenceEtSeries({ hours, place: FALLON })).toThrow(
      'referenceEtSeries: hours out of order (got 0 after 3600000); give each hour once, in order of time',
    );
  });
});
