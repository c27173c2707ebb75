import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  daylightH,
  declinationRad,
  extraterrestrialDayMjPerM2,
  extraterrestrialMjPerM2,
  inverseSunDistance,
  seasonalCorrectionH,
  sunElevationRad,
  sunsetHourAngleRad,
} from '../../../calc/sky/sun-geometry.ts';
import {
  MONTH_DAYS,
  MONTHLY_DAYLIGHT_H,
  MONTHLY_EXTRATERRESTRIAL_MJ_PER_M2,
  SUN_ROWS,
} from '../../tables/fao56-radiation.ts';

const latitudes = fc.double({ min: -90, max: 90, noNaN: true });
const days = fc.integer({ min: 1, max: 366 });

describe('the sun after FAO-56', () => {
  it('gives the steps of Examples 8 and 19', () => {
    expect(inverseSunDistance(246)).toBeCloseTo(0.985, 3);
    expect(declinationRad(246)).toBeCloseTo(0.12, 3);
    expect(sunsetHourAngleRad({ latitudeDeg: -20, dayOfYear: 246 })).toBeCloseTo(1.527, 3);
    expect(inverseSunDistance(246)).toBeCloseTo(0.984829, 6);
    expect(declinationRad(246)).toBeCloseTo(0.119655, 6);
    expect(sunsetHourAngleRad({ latitudeDeg: -20, dayOfYear: 246 })).toBeCloseTo(1.527022, 6);
    // In millimetres, 0.408 of it: 13.1 (published), 13.1352 (independent recomputation).
    expect(0.408 * extraterrestrialDayMjPerM2({ latitudeDeg: -20, dayOfYear: 246 })).toBeCloseTo(
      13.1352,
      3,
    );
    expect(inverseSunDistance(274)).toBeCloseTo(1.0001, 4);
    expect(declinationRad(274)).toBeCloseTo(-0.0753, 4);
    expect(seasonalCorrectionH(274)).toBeCloseTo(0.1889, 4);
  });

  it.each(SUN_ROWS)('gives radiation and daylight of $example', (row) => {
    const above = extraterrestrialDayMjPerM2(row);
    // Half of the last printed digit.
    const digits = row.published.extraterrestrialMjPerM2 > 33 ? 2 : 1;
    expect(above).toBeCloseTo(row.published.extraterrestrialMjPerM2, digits);
    expect(daylightH(row)).toBeCloseTo(row.published.daylightH, 1);
    expect(Math.abs(above - row.unrounded.extraterrestrialMjPerM2)).toBeLessThan(1e-3);
    expect(Math.abs(daylightH(row) - row.unrounded.daylightH)).toBeLessThan(1e-3);
  });

  it('keeps its tables whole', () => {
    expect(SUN_ROWS).toHaveLength(4);
    const rows = [...MONTHLY_EXTRATERRESTRIAL_MJ_PER_M2, ...MONTHLY_DAYLIGHT_H];
    expect(rows.map(({ values }) => values.length)).toEqual([12, 12, 12, 12, 12, 12]);
  });

  it('follows the months at several latitudes (independent recomputation, Annex 2 layout)', () => {
    for (const { latitudeDeg, values } of MONTHLY_EXTRATERRESTRIAL_MJ_PER_M2) {
      MONTH_DAYS.forEach((dayOfYear, month) => {
        const above = extraterrestrialDayMjPerM2({ latitudeDeg, dayOfYear });
        expect(Math.abs(above - (values[month] ?? Number.NaN))).toBeLessThanOrEqual(0.1);
      });
    }
    for (const { latitudeDeg, values } of MONTHLY_DAYLIGHT_H) {
      MONTH_DAYS.forEach((dayOfYear, month) => {
        const daylight = daylightH({ latitudeDeg, dayOfYear });
        expect(Math.abs(daylight - (values[month] ?? Number.NaN))).toBeLessThanOrEqual(0.1);
      });
    }
  });

  it('runs ten minutes shorter than the almanac day at midsummer, as the geometric sun must', () => {
    // NOAA's sheet has 900.9 min for this day with refraction.
    const daylightMin = 60 * daylightH({ latitudeDeg: 40, dayOfYear: 172 });
    expect(daylightMin).toBeCloseTo(890.6, 1);
  });

  it('stays within a day and above nothing everywhere on earth', () => {
    fc.assert(
      fc.property(latitudes, days, (latitudeDeg, dayOfYear) => {
        const hours = daylightH({ latitudeDeg, dayOfYear });
        const above = extraterrestrialDayMjPerM2({ latitudeDeg, dayOfYear });
        expect(hours).toBeGreaterThanOrEqual(0);
        expect(hours).toBeLessThanOrEqual(24);
        expect(above).toBeGreaterThanOrEqual(0);
        expect(above).toBeLessThan(50);
      }),
      { seed: 1, numRuns: 500 },
    );
  });

  it('sums the parts of a day to the day, wherever it is cut', () => {
    fc.assert(
      fc.property(latitudes, days, fc.double({ min: -3, max: 3, noNaN: true }), (lat, J, cut) => {
        const place = { latitudeDeg: lat, dayOfYear: J };
        const parts =
          extraterrestrialMjPerM2({ ...place, fromRad: -Math.PI, toRad: cut }) +
          extraterrestrialMjPerM2({ ...place, fromRad: cut, toRad: Math.PI });
        expect(parts).toBeCloseTo(extraterrestrialDayMjPerM2(place), 9);
        // The same turn of the earth, begun elsewhere.
        expect(
          extraterrestrialMjPerM2({ ...place, fromRad: cut - Math.PI, toRad: cut + Math.PI }),
        ).toBeCloseTo(extraterrestrialDayMjPerM2(place), 9);
      }),
      { seed: 2, numRuns: 300 },
    );
  });

  it('has the sun on the horizon at sunset, and highest at noon', () => {
    const day = { latitudeDeg: 39, dayOfYear: 182 };
    const sunset = sunsetHourAngleRad(day);
    expect(sunElevationRad({ ...day, hourAngleRad: sunset })).toBeCloseTo(0, 12);
    expect(sunElevationRad({ ...day, hourAngleRad: 0 })).toBeCloseTo(
      Math.PI / 2 - (39 * Math.PI) / 180 + declinationRad(182),
      12,
    );
  });

  it('refuses what is no latitude or no day, and says what to give', () => {
    expect(() => daylightH({ latitudeDeg: 91, dayOfYear: 1 })).toThrow(
      'sunsetHourAngleRad: latitudeDeg is out of range (got 91); give -90 to 90',
    );
    expect(() => declinationRad(0)).toThrow(
      'declinationRad: dayOfYear is out of range (got 0); give 1 to 366',
    );
    expect(() => declinationRad(Number.NaN)).toThrow(RangeError);
  });
});
