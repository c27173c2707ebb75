import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  extraterrestrialDayMjPerM2,
  solarDayStartMs,
  sunOfHour,
} from '../../../calc/sky/sun-geometry.ts';
import { HOURLY_ROWS, NDIAYE } from '../../tables/fao56-hourly.ts';

const HOUR_MS = 3_600_000;

describe('the sun over one hour', () => {
  it.each(HOURLY_ROWS)('stands as in FAO-56, Example 19, from $startHour h', (row) => {
    // The text's zone is one hour behind UTC; 1 October is day 274 in a year without 29 February.
    const sun = sunOfHour({ ...NDIAYE, startMs: Date.UTC(2026, 9, 1, row.startHour + 1) });
    expect(sun.dayOfYear).toBe(274);
    expect(sun.hourAngleRad).toBeCloseTo(row.published.hourAngleRad, row.startHour === 2 ? 2 : 3);
    expect(sun.extraterrestrialMjPerM2).toBeCloseTo(row.published.extraterrestrialMjPerM2, 3);
    expect(sun.hourAngleRad).toBeCloseTo(row.unrounded.hourAngleRad, 4);
    expect(sun.extraterrestrialMjPerM2).toBeCloseTo(row.unrounded.extraterrestrialMjPerM2, 4);
  });

  it('knows 29 February and the days around the date line by the sun of the place', () => {
    const dayOf = (startMs: number, longitudeDeg: number) =>
      sunOfHour({ startMs, latitudeDeg: 0, longitudeDeg }).dayOfYear;
    expect(dayOf(Date.UTC(2024, 1, 29, 12), 0)).toBe(60);
    expect(dayOf(Date.UTC(2024, 2, 1, 12), 0)).toBe(61);
    expect(dayOf(Date.UTC(2026, 2, 1, 12), 0)).toBe(60);
    expect(dayOf(Date.UTC(2025, 11, 31, 18), 179)).toBe(1);
    expect(dayOf(Date.UTC(2026, 0, 1, 6), -179)).toBe(365);
  });

  it('sums the hours of a solar day to the day, to the change of the seasonal correction', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 364 }),
        fc.double({ min: -66, max: 66, noNaN: true }),
        fc.double({ min: -180, max: 180, noNaN: true }),
        (day, latitudeDeg, longitudeDeg) => {
          const noonMs = Date.UTC(2026, 0, 1 + day, 12) - (longitudeDeg / 15) * HOUR_MS;
          const dayMs = solarDayStartMs(noonMs, longitudeDeg);
          expect(noonMs - dayMs).toBeCloseTo(12 * HOUR_MS, 1);
          let sum = 0;
          for (let hour = 0; hour < 24; hour += 1) {
            const sun = sunOfHour({ startMs: dayMs + hour * HOUR_MS, latitudeDeg, longitudeDeg });
            expect(sun.dayOfYear).toBe(day + 1);
            sum += sun.extraterrestrialMjPerM2;
          }
          expect(sum).toBeCloseTo(
            extraterrestrialDayMjPerM2({ latitudeDeg, dayOfYear: day + 1 }),
            8,
          );
        },
      ),
      { seed: 3, numRuns: 100 },
    );
  });

  it('refuses an hour that is no instant', () => {
    expect(() => sunOfHour({ ...NDIAYE, startMs: Number.NaN })).toThrow(
      'sunOfHour: startMs is out of range (got NaN)',
    );
    expect(() => sunOfHour({ ...NDIAYE, longitudeDeg: 181, startMs: 0 })).toThrow(
      'sunOfHour: longitudeDeg is out of range (got 181); give -180 to 180',
    );
  });
});
