import { describe, expect, it } from 'vitest';
import { DOUBT_FRACTION, lookChance, normalBelow } from '../../../calc/looks/look-evidence.ts';

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

describe('the chance of a look', () => {
  const expected = { meanLog: 0, spreadLog: 1 };
  const above = { kind: 'band', leastLog: 0, mostLog: Number.POSITIVE_INFINITY } as const;

  it('without doubt is that of its band', () => {
    expect(lookChance(above, expected, 0).rightFraction).toBeCloseTo(0.5, 7);
    const within = { kind: 'band', leastLog: -1, mostLog: 1 } as const;
    // 68.27 % of a normal distribution lie within one standard deviation.
    expect(lookChance(within, expected, 0).rightFraction).toBeCloseTo(0.682689, 5);
  });

  it('of all three surfaces together is 1, right and wrong ones', () => {
    const ends = [Number.NEGATIVE_INFINITY, -0.36, 0, Number.POSITIVE_INFINITY];
    const sum = [0, 1, 2].reduce((all, index) => {
      const [leastLog = 0, mostLog = 0] = ends.slice(index);
      const chance = lookChance({ kind: 'band', leastLog, mostLog }, expected);
      return all + chance.rightFraction + chance.wrongFraction;
    }, 0);
    expect(sum).toBeCloseTo(1, 6);
  });

  it('far from all expected is that of a wrong one, which shares the doubt among two others', () => {
    const far = lookChance(above, { meanLog: -8, spreadLog: 1 });
    expect(far.rightFraction).toBeLessThan(1e-6);
    expect(far.wrongFraction).toBeCloseTo(DOUBT_FRACTION / 2, 6);
    expect(() => lookChance(above, { meanLog: 0, spreadLog: 0 })).toThrow(RangeError);
  });
});

describe('the chance of a reading', () => {
  it('is the density of both spreads together, and anywhere within three logs where it is wrong', () => {
    const reading = { kind: 'reading', meanLog: 1, spreadLog: 3 } as const;
    const chance = lookChance(reading, { meanLog: 1, spreadLog: 4 });
    // Spreads of 3 and 4 are one of 5; the density of the standard normal at 0 is 0.398942.
    expect(chance.rightFraction).toBeCloseTo((0.8 * 0.398942) / 5, 6);
    expect(chance.wrongFraction).toBeCloseTo(0.2 / 3, 12);
    const beside = lookChance(reading, { meanLog: 6, spreadLog: 4 });
    // One spread away: 0.241971.
    expect(beside.rightFraction).toBeCloseTo((0.8 * 0.241971) / 5, 6);
    expect(lookChance(reading, { meanLog: 1, spreadLog: 4 }, 0.5).rightFraction).toBeCloseTo(
      (0.5 * 0.398942) / 5,
      6,
    );
  });
});
