import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  germinationWindow,
  type SignSeen,
  scaledPace,
} from '../../../calc/growth/germination-clock.ts';
import { BENTGRASS_PACE } from '../../../calc/growth/thermal-time.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const sownMs = Date.parse('2026-08-20T09:00:00Z');
const dayMs = (days: number) => sownMs + days * DAY_MS;

function windowAt(tempC: number, seen: SignSeen[] = [], days = 12) {
  const hours = Array.from({ length: days * 24 }, (_, index) => ({
    startMs: sownMs + index * HOUR_MS,
    tempC,
  }));
  return germinationWindow({ sownMs, nowMs: dayMs(2), hours, seen });
}

function daysOf(window: ReturnType<typeof windowAt>) {
  if (window.earliest === null || window.latest === null) throw new Error('no window');
  return [(window.earliest.atMs - sownMs) / DAY_MS, (window.latest.atMs - sownMs) / DAY_MS];
}

test('a steady 20 °C gives day 5 to 8 over base 5 °C (derived from 5 to 8 days at 20 °C)', () => {
  const window = windowAt(20);
  expect(daysOf(window)).toEqual([5, 8]);
  expect(window).toMatchObject({ baseTempC: 5, leastCDays: 75, mostCDays: 120, overdue: false });
  expect(window.sumCDays).toBeCloseTo(30, 9);
});

test('at 20 °C the window meets the usual 7 to 9 days, yet opens two days before (common practice)', () => {
  const [earliest = 0, latest = 0] = daysOf(windowAt(20));
  expect(latest).toBeGreaterThan(7);
  expect(latest).toBeLessThan(9);
  expect(earliest).toBeLessThan(7);
});

test('at 28 °C the window opens after three days, the very best that practice knows (common practice)', () => {
  const [earliest = 0, latest = 0] = daysOf(windowAt(28));
  expect(Math.floor(earliest)).toBe(3);
  expect(latest).toBeCloseTo(120 / 23, 6);
});

test('the usual 7 to 9 days lie within the window at about 17 to 19 °C', () => {
  for (const tempC of [17, 18, 19]) {
    const [earliest = 0, latest = 0] = daysOf(windowAt(tempC));
    expect(earliest).toBeLessThanOrEqual(7);
    expect(latest).toBeGreaterThan(8.5);
  }
});

test('nothing comes below 7 °C', () => {
  expect(windowAt(6.5)).toMatchObject({ earliest: null, latest: null, sumCDays: 0 });
});

test('a window beyond the hours given is marked as carried', () => {
  const window = windowAt(20, [], 6);
  expect(window.earliest?.carried).toBe(false);
  expect(window.latest?.carried).toBe(true);
});

test('root tips seen early draw the whole window forward, late push it back', () => {
  // 97.5 x 0.6 = 58.5 degree-days are expected at the tips: day 3.9 at 20 °C.
  expect(daysOf(windowAt(20, [{ sign: 'root_tips', atMs: dayMs(3.9) }]))).toEqual([5, 8]);
  const early = windowAt(20, [{ sign: 'root_tips', atMs: dayMs(3) }]);
  expect(early.correctedBy).toBe('root_tips');
  expect(early.scaleFraction).toBeCloseTo(3 / 3.9, 9);
  expect(daysOf(early)[0]).toBeCloseTo((5 * 3) / 3.9, 6);
  const late = windowAt(20, [{ sign: 'root_tips', atMs: dayMs(5) }]);
  expect(daysOf(late)[1]).toBeCloseTo((8 * 5) / 3.9, 6);
});

test('a green that was seen closes the window and teaches the pace of the lot', () => {
  const window = windowAt(20, [{ sign: 'green', atMs: dayMs(6) }]);
  expect(daysOf(window)).toEqual([6, 6]);
  expect(window.scaleFraction).toBeCloseTo(90 / 97.5, 9);
  expect(scaledPace(BENTGRASS_PACE, window.scaleFraction).leastCDays).toBeCloseTo(69.23, 2);
});

test('a look without a sign moves the opening; after the close it says overdue', () => {
  const looked = windowAt(20, [{ sign: 'nothing', atMs: dayMs(6) }]);
  expect(daysOf(looked)).toEqual([6, 8]);
  expect(looked).toMatchObject({ correctedBy: 'nothing', overdue: false });
  expect(looked.leastCDays).toBeCloseTo(90, 9);
  const overdue = windowAt(20, [{ sign: 'nothing', atMs: dayMs(9) }]);
  expect(overdue.overdue).toBe(true);
  expect(daysOf(overdue)).toEqual([9, 9]);
});

test('one sign on the wrong day cannot throw the window out of bounds', () => {
  expect(windowAt(20, [{ sign: 'root_tips', atMs: sownMs }]).scaleFraction).toBeCloseTo(1 / 3, 12);
});

test('the window opens before it closes, and warmth never delays it', () => {
  const temps = fc.array(fc.double({ min: 0, max: 40, noNaN: true }), {
    minLength: 24,
    maxLength: 120,
  });
  const seen = fc.array(
    fc.record({
      sign: fc.constantFrom('nothing' as const, 'root_tips' as const, 'green' as const),
      atMs: fc.integer({ min: 0, max: 12 }).map(dayMs),
    }),
    { maxLength: 4 },
  );
  fc.assert(
    fc.property(temps, seen, (temperatures, signs) => {
      const hoursOf = (warmerC: number) =>
        temperatures.map((tempC, index) => ({
          startMs: sownMs + index * HOUR_MS,
          tempC: tempC + warmerC,
        }));
      const ask = (warmerC: number, given: SignSeen[]) =>
        germinationWindow({ sownMs, nowMs: dayMs(1), hours: hoursOf(warmerC), seen: given });
      const window = ask(0, signs);
      if (window.earliest !== null && window.latest !== null) {
        expect(window.earliest.atMs).toBeLessThanOrEqual(window.latest.atMs);
      }
      expect(window.leastCDays).toBeLessThanOrEqual(window.mostCDays);
      const cool = ask(0, []).earliest;
      const warm = ask(2, []).earliest;
      // Only within the hours given: beyond them one day's pace is carried on.
      if (cool !== null && !cool.carried) {
        expect(warm?.atMs ?? Number.POSITIVE_INFINITY).toBeLessThanOrEqual(cool.atMs);
      }
    }),
    { seed: 42, numRuns: 100 },
  );
});

test('refuses a pace that cannot be', () => {
  const pace = { ...BENTGRASS_PACE, mostCDays: 60 };
  expect(() => germinationWindow({ sownMs, nowMs: sownMs, hours: [], pace })).toThrow(
    /germinationWindow\.pace\.mostCDays: .*got 60/,
  );
});
