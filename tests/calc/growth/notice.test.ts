import { expect, test } from 'vitest';
import { relativeHumidityPct, spanOf, spellsOf } from '../../../calc/growth/notice.ts';
import { HOUR_MS, hourAt, NOON_MS } from './hazards/weather-hours.ts';

const hoursAt = (...hours: number[]) => hours.map((hour) => hourAt(hour));

test('hours span from the first to the end of the last, in whatever order they come', () => {
  const span = { fromMs: NOON_MS + 2 * HOUR_MS, toMs: NOON_MS + 6 * HOUR_MS };
  expect(spanOf(hoursAt(2, 3, 5))).toEqual(span);
  expect(spanOf(hoursAt(5, 2, 3))).toEqual(span);
});

test('a spell ends where the thing does, or where an hour is missing', () => {
  const hours = hoursAt(0, 1, 2, 3, 5, 6, 7);
  const startsOf = (holds: (hour: number) => boolean) =>
    spellsOf(hours, (hour) => holds((hour.startMs - NOON_MS) / HOUR_MS)).map((spell) =>
      spell.map((hour) => (hour.startMs - NOON_MS) / HOUR_MS),
    );
  expect(startsOf(() => true)).toEqual([
    [0, 1, 2, 3],
    [5, 6, 7],
  ]);
  expect(startsOf((hour) => hour !== 1 && hour !== 7)).toEqual([[0], [2, 3], [5, 6]]);
  expect(startsOf(() => false)).toEqual([]);
});

test('humidity is vapour pressure against saturation, and never above 100 %', () => {
  expect(relativeHumidityPct(hourAt(0, { humidityPct: 63 }))).toBeCloseTo(63, 10);
  expect(relativeHumidityPct(hourAt(0, { humidityPct: 104 }))).toBe(100);
});
