import { describe, expect, it } from 'vitest';
import { addTime, firstNotBefore, removeTime } from '../../../calc/schedule/pump-rest.ts';

describe('times in order', () => {
  it('are found by the first that is not before', () => {
    const times = [10, 20, 20, 30];
    expect([5, 10, 11, 20, 21, 30, 31].map((one) => firstNotBefore(times, one))).toEqual([
      0, 0, 1, 1, 3, 3, 4,
    ]);
    expect(firstNotBefore([], 5)).toBe(0);
    expect(firstNotBefore([7], 7)).toBe(0);
    expect(firstNotBefore([7], 8)).toBe(1);
  });

  it('stay so when one comes or goes', () => {
    const times: number[] = [];
    for (const one of [30, 10, 20, 20, 5]) addTime(times, one);
    expect(times).toEqual([5, 10, 20, 20, 30]);
    removeTime(times, 20);
    expect(times).toEqual([5, 10, 20, 30]);
    removeTime(times, 21);
    removeTime(times, 99);
    expect(times).toEqual([5, 10, 20, 30]);
    removeTime(times, 5);
    removeTime(times, 30);
    expect(times).toEqual([10, 20]);
  });
});
