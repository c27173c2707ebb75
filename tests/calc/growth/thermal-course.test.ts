import { describe, expect, test } from 'vitest';
import {
  type GerminationPace,
  hourGainCDays,
  momentOfSum,
  sumAtCDays,
  thermalCourse,
} from '../../../calc/growth/thermal-time.ts';

const HOUR_MS = 3_600_000;
/** An invented seed lot: an hour at 29 °C is a whole degree-day, one at 17 °C half of it. */
const pace: GerminationPace = {
  baseTempC: 5,
  noneBelowC: 7,
  ceilingTempC: 30,
  leastCDays: 75,
  mostCDays: 120,
  rootTipsFraction: 0.6,
};
const course = (hours: readonly [number, number][], sownH = 0) =>
  thermalCourse({
    sownMs: sownH * HOUR_MS,
    hours: hours.map(([atH, tempC]) => ({ startMs: atH * HOUR_MS, tempC })),
    pace,
  });
const row = (from: number, count: number, tempC: number): [number, number][] =>
  Array.from({ length: count }, (_, index) => [from + index, tempC]);
const sums = ({ points }: ReturnType<typeof course>) =>
  points.map(({ atMs, sumCDays }) => [atMs / HOUR_MS, sumCDays]);

test('an hour gains from its least temperature to its ceiling, within what can be', () => {
  expect(hourGainCDays(6.99, pace)).toBe(0);
  expect(hourGainCDays(7, pace)).toBeCloseTo(2 / 24, 12);
  expect(hourGainCDays(29, pace)).toBe(1);
  expect(hourGainCDays(30, pace)).toBeCloseTo(25 / 24, 12);
  expect(hourGainCDays(31, pace)).toBeCloseTo(25 / 24, 12);
  expect(hourGainCDays(2, { ...pace, noneBelowC: 0 })).toBe(0);
  for (const within of [-40, 90]) expect(() => hourGainCDays(within, pace)).not.toThrow();
  for (const beyond of [-40.1, 90.1]) expect(() => hourGainCDays(beyond, pace)).toThrow(RangeError);
});

describe('the course since sowing', () => {
  test('adds hour to hour, and goes on as the hours went', () => {
    const three = course(row(0, 3, 29));
    expect(sums(three)).toEqual([
      [0, 0],
      [1, 1],
      [2, 2],
      [3, 3],
    ]);
    expect(three).toMatchObject({ onwardCDaysPerDay: 24, missingHours: 0 });
  });

  test('goes on as the last day went', () => {
    expect(course([...row(0, 24, 29), ...row(24, 24, 17)]).onwardCDaysPerDay).toBeCloseTo(12, 9);
    const mixed = course([...row(0, 24, 29), ...row(24, 12, 17)]);
    expect(mixed.onwardCDaysPerDay).toBeCloseTo(12 + 6, 9);
  });

  test('begins in the middle of an hour with what is left of it', () => {
    expect(sums(course(row(0, 2, 29), 0.25))).toEqual([
      [0.25, 0],
      [1, 0.75],
      [2, 1.75],
    ]);
    expect(sums(course(row(0, 3, 29), 1))).toEqual([
      [1, 0],
      [2, 1],
      [3, 2],
    ]);
  });

  test('bridges what is missing by the hours beside it', () => {
    const gap = course([
      [0, 29],
      [3, 17],
    ]);
    expect(sums(gap)).toEqual([
      [0, 0],
      [1, 1],
      [3, 2.5],
      [4, 3],
    ]);
    expect(gap.missingHours).toBe(2);
    const late = course([[2, 17]]);
    expect(sums(late)).toEqual([
      [0, 0],
      [2, 1],
      [3, 1.5],
    ]);
    expect(late.missingHours).toBe(2);
  });

  test('wants one row an hour, in order', () => {
    const refused = (second: number) => () =>
      course([
        [0, 20],
        [second, 20],
      ]);
    expect(refused(1)).not.toThrow();
    expect(refused(0.99)).toThrow('not in order of time');
    expect(refused(0)).toThrow('not in order of time');
  });
});

describe('the sum at an instant', () => {
  const three = course(row(0, 3, 29));

  test.each([
    [-1, 0],
    [0, 0],
    [0.5, 0.5],
    [1, 1],
    [2.25, 2.25],
    [3, 3],
    [5, 5],
  ])('after %f h is %f', (atH, sum) => {
    expect(sumAtCDays(three, atH * HOUR_MS)).toBeCloseTo(sum, 9);
  });

  test('stands still where no hour is known', () => {
    const none = course([]);
    expect(none).toMatchObject({ onwardCDaysPerDay: 0, missingHours: 0 });
    expect(sumAtCDays(none, 9 * HOUR_MS)).toBe(0);
    expect(momentOfSum(none, 1)).toBeNull();
  });
});

describe('the moment of a sum', () => {
  const three = course(row(0, 3, 29));
  const moment = (sum: number) => {
    const found = momentOfSum(three, sum);
    return found === null ? null : [found.atMs / HOUR_MS, found.carried];
  };

  test('lies between two hours, at the end of one, or beyond the last', () => {
    expect(moment(0.5)).toEqual([0.5, false]);
    expect(moment(2)).toEqual([2, false]);
    expect(moment(3)).toEqual([3, false]);
    expect(moment(4)).toEqual([4, true]);
  });

  test('is passed over while nothing is gained, and never comes in the cold', () => {
    const pause = course([
      [0, 29],
      [1, 0],
      [2, 29],
    ]);
    expect(momentOfSum(pause, 1)?.atMs).toBe(HOUR_MS);
    expect(momentOfSum(pause, 1.5)?.atMs).toBe(2.5 * HOUR_MS);
    const cold = course([[0, 29], ...row(1, 24, 0)]);
    expect(momentOfSum(cold, 2)).toBeNull();
    expect(momentOfSum(cold, 1)).toEqual({ atMs: HOUR_MS, carried: false });
  });
});
