import fc from 'fast-check';
import { expect, test } from 'vitest';
import { pythiumNotices } from '../../../../calc/growth/hazards/disease-notices.ts';
import { dayOf, NOON_MS } from './weather-hours.ts';

/** High at the third hour, then a humid stretch of so many hours; the low at the 16th. */
function warmDay(asked: { highC: number; lowC: number; humidHours: number; humidityPct?: number }) {
  return dayOf((hour) => ({
    airTempC: hour === 3 ? asked.highC : hour === 16 ? asked.lowC : Math.max(24, asked.lowC),
    humidityPct: hour >= 5 && hour < 5 + asked.humidHours ? (asked.humidityPct ?? 95) : 60,
  }));
}

function codesOf(hours: ReturnType<typeof warmDay>) {
  return pythiumNotices({ hours, noonMs: NOON_MS }).map((notice) => notice.code);
}

/** Edges of Nutter, Cole & Schein 1983 (30 °C, 14 h, 90 %, 20 °C) and of the Kentucky rule (28, 9 h). */
const edges = [
  { highC: 30.1, lowC: 20.1, humidHours: 14, codes: ['pythium_14_hours', 'pythium_9_hours'] },
  { highC: 30.1, lowC: 20.1, humidHours: 13, codes: ['pythium_9_hours'] },
  { highC: 30, lowC: 20.1, humidHours: 14, codes: ['pythium_9_hours'] },
  { highC: 30.1, lowC: 20, humidHours: 14, codes: [] },
  { highC: 28.1, lowC: 20.1, humidHours: 9, codes: ['pythium_9_hours'] },
  { highC: 28.1, lowC: 20.1, humidHours: 8, codes: [] },
  { highC: 28, lowC: 20.1, humidHours: 14, codes: [] },
  { highC: 33, lowC: 22, humidHours: 18, humidityPct: 89, codes: [] },
];

test.each(edges)('high $highC, low $lowC, $humidHours h: $codes', ({ codes, ...day }) => {
  expect(codesOf(warmDay(day))).toEqual(codes);
});

test('the stricter rule counts only humid hours after the high', () => {
  // Humid from the first hour for 14 h, the high in the tenth: nine of them lie before it.
  const hours = dayOf((hour) => ({
    airTempC: hour === 9 ? 31 : 24,
    humidityPct: hour < 14 ? 95 : 60,
  }));
  expect(codesOf(hours)).toEqual(['pythium_9_hours']);
});

test('a notice names its rule, its inputs, its limits and its window', () => {
  const hours = warmDay({ highC: 33, lowC: 22, humidHours: 15 });
  const [strict] = pythiumNotices({ hours, noonMs: NOON_MS });
  expect(strict).toMatchObject({
    severity: 'warn',
    fromMs: NOON_MS,
    toMs: NOON_MS + 24 * 3_600_000,
    inputs: { highC: 33, lowC: 22, humidHours: 15, leastHumidHours: 14, missingHours: 0 },
  });
  expect(strict).toMatchObject({
    code: 'pythium_14_hours',
    limits: { highAboveC: 30, lowAboveC: 20 },
  });
});

test('hours outside the window do not count, missing ones are told, none raises nothing', () => {
  const hours = warmDay({ highC: 33, lowC: 22, humidHours: 15 });
  const dayAfter = pythiumNotices({ hours, noonMs: NOON_MS + 24 * 3_600_000 });
  expect(dayAfter).toEqual([]);
  const gap = hours.filter((_, index) => index !== 22);
  expect(pythiumNotices({ hours: gap, noonMs: NOON_MS })[0]).toMatchObject({
    inputs: { missingHours: 1 },
  });
  expect(() => pythiumNotices({ hours, noonMs: Number.NaN })).toThrow(RangeError);
});

test('weather of the stricter rule always meets the other', () => {
  const day = fc.array(
    fc.record({
      airTempC: fc.double({ min: 19, max: 36, noNaN: true }),
      humidityPct: fc.double({ min: 80, max: 100, noNaN: true }),
    }),
    { minLength: 24, maxLength: 24 },
  );
  fc.assert(
    fc.property(day, (changes) => {
      const codes = codesOf(dayOf((hour) => changes[hour] ?? {}));
      if (codes.includes('pythium_14_hours')) expect(codes).toContain('pythium_9_hours');
    }),
    { seed: 51, numRuns: 200 },
  );
});
