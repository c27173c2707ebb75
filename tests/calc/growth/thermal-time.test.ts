import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  BENTGRASS_PACE,
  hourGainCDays,
  momentOfSum,
  sumAtCDays,
  thermalCourse,
} from '../../../calc/growth/thermal-time.ts';

const HOUR_MS = 3_600_000;
const pace = BENTGRASS_PACE;

test('an hour gains above the base, nothing below the least, and no more above the ceiling', () => {
  expect(hourGainCDays(20, pace)).toBeCloseTo(15 / 24, 12);
  expect(hourGainCDays(6.9, pace)).toBe(0);
  expect(hourGainCDays(7, pace)).toBeCloseTo(2 / 24, 12);
  expect(hourGainCDays(44, pace)).toBe(hourGainCDays(30, pace));
  expect(() => hourGainCDays(Number.NaN, pace)).toThrow(/hourGainCDays\.tempC: .*got NaN/);
});

test('sowing in the middle of an hour counts its half, and hours before do not count', () => {
  const hours = [0, 1, 2].map((index) => ({ startMs: index * HOUR_MS, tempC: 29 }));
  const course = thermalCourse({ sownMs: 1.5 * HOUR_MS, hours, pace });
  expect(sumAtCDays(course, 3 * HOUR_MS)).toBeCloseTo(1.5, 12);
  expect(sumAtCDays(course, 2.5 * HOUR_MS)).toBeCloseTo(1, 12);
  expect(sumAtCDays(course, 0)).toBe(0);
  expect(course.missingHours).toBe(0);
});

test('a missing hour gains the mean of the hours beside it and is counted', () => {
  const hours = [
    { startMs: 0, tempC: 29 },
    { startMs: 2 * HOUR_MS, tempC: 17 },
  ];
  const course = thermalCourse({ sownMs: 0, hours, pace });
  expect(sumAtCDays(course, 3 * HOUR_MS)).toBeCloseTo(1 + 0.75 + 0.5, 12);
  expect(course.missingHours).toBe(1);
});

test('after the last hour the last day goes on, and a cold seedbed never arrives', () => {
  const warm = thermalCourse({ sownMs: 0, hours: [{ startMs: 0, tempC: 29 }], pace });
  expect(momentOfSum(warm, 24)).toEqual({ atMs: 24 * HOUR_MS, carried: true });
  expect(sumAtCDays(warm, 24 * HOUR_MS)).toBeCloseTo(24, 9);
  const cold = thermalCourse({ sownMs: 0, hours: [{ startMs: 0, tempC: 6 }], pace });
  expect(momentOfSum(cold, 1)).toBeNull();
  expect(momentOfSum(thermalCourse({ sownMs: 0, hours: [], pace }), 1)).toBeNull();
});

test('refuses hours out of order', () => {
  const hours = [
    { startMs: HOUR_MS, tempC: 20 },
    { startMs: 0, tempC: 20 },
  ];
  expect(() => thermalCourse({ sownMs: 0, hours, pace })).toThrow(/not in order of time \(got 0\)/);
});

test('the sum never falls, and the moment of a sum has that sum', () => {
  const temps = fc.array(fc.double({ min: -5, max: 45, noNaN: true }), {
    minLength: 30,
    maxLength: 200,
  });
  fc.assert(
    fc.property(temps, fc.double({ min: 0.1, max: 150, noNaN: true }), (temperatures, target) => {
      const hours = temperatures.map((tempC, index) => ({ startMs: index * HOUR_MS, tempC }));
      const course = thermalCourse({ sownMs: 0, hours, pace });
      let before = 0;
      for (const point of course.points) {
        expect(point.sumCDays).toBeGreaterThanOrEqual(before);
        before = point.sumCDays;
      }
      const moment = momentOfSum(course, target);
      if (moment !== null && moment.atMs < Number.MAX_SAFE_INTEGER) {
        // The instant is rounded to a millisecond: at most 25 degree-days a day / 86.4e6.
        expect(Math.abs(sumAtCDays(course, moment.atMs) - target)).toBeLessThan(1e-6);
      }
    }),
    { seed: 41, numRuns: 100 },
  );
});
