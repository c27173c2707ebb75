import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { growInCourse } from '../../../calc/growth/thermal-time.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

const steady = (tempC: number, days: number) =>
  Array.from({ length: 24 * days }, (_, index) => ({ startMs: index * HOUR_MS, tempC }));

describe('growInCourse', () => {
  it('at a steady 20 °C: green on day 5 to 8, first mowing after three to five weeks', () => {
    // Common practice: first green 5 to 8 days at 20 °C, seeding to first mow 3 to 5 weeks.
    const { firstGreen, firstMow, stages } = growInCourse({ sownMs: 0, hours: steady(20, 60) });
    expect((firstGreen?.earliestMs ?? 0) / DAY_MS).toBeCloseTo(5, 6);
    expect((firstGreen?.latestMs ?? 0) / DAY_MS).toBeCloseTo(8, 6);
    expect((firstMow?.earliestMs ?? 0) / DAY_MS).toBeCloseTo(21, 6);
    expect((firstMow?.latestMs ?? 0) / DAY_MS).toBeCloseTo(35, 6);
    expect(stages.map(({ stage }) => stage)).toEqual([
      'germination',
      'emergence',
      'tillering',
      'first_mow',
    ]);
    expect((stages[1]?.fromMs ?? 0) / DAY_MS).toBeCloseTo(6.5, 6);
  });

  it('tells no window that lies beyond the hours given, nor one in the cold', () => {
    const short = growInCourse({ sownMs: 0, hours: steady(20, 10) });
    expect(short.firstGreen).not.toBeNull();
    expect(short.firstMow).toBeNull();
    const cold = growInCourse({ sownMs: 0, hours: steady(4, 60) });
    expect(cold).toMatchObject({ firstGreen: null, firstMow: null });
    expect(cold.stages.map(({ stage }) => stage)).toEqual(['germination']);
  });

  it('is never slower in the warm', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 8, max: 24, noNaN: true }),
        fc.double({ min: 0, max: 5, noNaN: true }),
        (tempC, moreK) => {
          const hours = 24 * 120;
          const mowAt = (warmC: number) =>
            growInCourse({ sownMs: 0, hours: steady(warmC, hours / 24) }).firstMow?.latestMs ??
            Number.POSITIVE_INFINITY;
          expect(mowAt(tempC + moreK)).toBeLessThanOrEqual(mowAt(tempC) + 1);
        },
      ),
      { numRuns: 12, seed: 5 },
    );
  });
});
