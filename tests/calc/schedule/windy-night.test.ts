import { expect, it } from 'vitest';
import { isFirstNight, isWindyAllNight } from '../../../calc/schedule/water-hours.ts';

const HOUR_MS = 3_600_000;
const night = (fromH: number, untilH: number) => ({
  startMs: fromH * HOUR_MS,
  endMs: untilH * HOUR_MS,
  untilMs: untilH * HOUR_MS,
});
/** Wind in these hours alone. */
const windIn =
  (...hours: number[]) =>
  (ms: number) =>
    hours.includes(Math.floor(ms / HOUR_MS));

it('a night is windy only where every hour of it is, to its very end', () => {
  expect(isWindyAllNight(night(20, 24), windIn(20, 21, 22, 23))).toBe(true);
  for (const calm of [20, 21, 22, 23]) {
    const windy = [20, 21, 22, 23].filter((hour) => hour !== calm);
    expect(isWindyAllNight(night(20, 24), windIn(...windy)), `calm at ${calm}`).toBe(false);
  }
  // It begins within an hour and ends within another one, which counts too.
  expect(isWindyAllNight(night(20.5, 22.25), windIn(20, 21))).toBe(false);
  expect(isWindyAllNight(night(20.5, 22.25), windIn(20, 21, 22))).toBe(true);
  expect(isWindyAllNight(night(24, 24), () => true)).toBe(false);
});

it('the first night is the evening of the day of seeding and the morning after', () => {
  expect(isFirstNight('2026-07-01', '2026-07-01', 'late')).toBe(true);
  expect(isFirstNight('2026-07-01', '2026-07-01', 'early')).toBe(false);
  expect(isFirstNight('2026-06-30', '2026-07-01', 'early')).toBe(true);
  expect(isFirstNight('2026-06-29', '2026-07-01', 'early')).toBe(false);
  expect(isFirstNight(null, '2026-07-01', 'late')).toBe(false);
});
