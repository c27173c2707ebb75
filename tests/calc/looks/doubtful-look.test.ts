import { describe, expect, it } from 'vitest';
import { judgedLook } from '../../../calc/looks/doubtful-look.ts';
import { normalBelow } from '../../../calc/looks/normal.ts';

describe('the normal distribution', () => {
  // Abramowitz & Stegun 1964, Table 26.1 (from memory), within their formula's own error.
  it.each([
    [0, 0.5],
    [0.5, 0.6914625],
    [1, 0.8413447],
    [1.96, 0.9750021],
    [3, 0.9986501],
    [-1, 0.1586553],
  ])('below %d lies %d', (x, below) => {
    expect(Math.abs(normalBelow(x) - below)).toBeLessThan(1.5e-7);
  });
});

describe('a look that may be wrong', () => {
  const guess = { meanLog: 0, spreadLog: 1 };
  const above = { kind: 'band', leastLog: 0, mostLog: Number.POSITIVE_INFINITY } as const;

  it('without doubt cuts the guess to its band', () => {
    // Half-normal distribution: mean sqrt(2/pi), variance 1 - 2/pi.
    const { meanLog, spreadLog, trustFraction } = judgedLook(guess, above, 0);
    expect(meanLog).toBeCloseTo(Math.sqrt(2 / Math.PI), 6);
    expect(spreadLog ** 2).toBeCloseTo(1 - 2 / Math.PI, 6);
    expect(trustFraction).toBe(1);
  });

  it('weighs a reading by the two spreads', () => {
    const reading = { kind: 'reading', meanLog: 1, spreadLog: 1 } as const;
    const { meanLog, spreadLog } = judgedLook(guess, reading, 0);
    expect(meanLog).toBeCloseTo(0.5, 12);
    expect(spreadLog ** 2).toBeCloseTo(0.5, 12);
  });

  it('moves the guess less, the less it was expected, once it passes belief', () => {
    const shifts = [-1, -3, -4, -6].map((meanLog) => {
      const judged = judgedLook({ meanLog, spreadLog: 1 }, above);
      expect(judged.meanLog).toBeGreaterThanOrEqual(meanLog);
      return { shift: judged.meanLog - meanLog, trust: judged.trustFraction };
    });
    expect(shifts.map((one) => one.trust)).toEqual(
      shifts.map((one) => one.trust).toSorted((a, b) => b - a),
    );
    expect(shifts.at(-1)?.shift).toBeLessThan(0.01);
    expect(shifts[0]?.shift).toBeGreaterThan(0.5);
  });
});
