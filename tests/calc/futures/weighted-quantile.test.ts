import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { weightedQuantiles } from '../../../calc/futures/weighted-quantile.ts';

function quantiles(values: number[], weights: number[], probabilities: number[]): number[] {
  const out = new Float64Array(probabilities.length);
  weightedQuantiles(Float64Array.from(values), Float64Array.from(weights), probabilities, out);
  return [...out];
}
const equal = (count: number) => Array.from({ length: count }, () => 1);

/** Definition 5 of Hyndman & Fan 1996, Am. Stat. 50:361 (Hazen's), from memory: by the place n p + 1/2. */
function hazen(values: readonly number[], probability: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  const place = Math.min(values.length, Math.max(1, values.length * probability + 0.5));
  const low = sorted[Math.floor(place) - 1] ?? Number.NaN;
  const high = sorted[Math.ceil(place) - 1] ?? Number.NaN;
  return low + (high - low) * (place - Math.floor(place));
}

describe('quantiles of weighted values', () => {
  it('stand at the middles of their weights, with straight lines between', () => {
    // 10 of weight 1/2 at 1/4, 20 of 1/4 at 5/8, 40 of 1/4 at 7/8.
    const of = (...probabilities: number[]) => quantiles([40, 10, 20], [1, 2, 1], probabilities);
    expect(of(0, 0.25, 0.4375, 0.625, 0.75, 0.875, 1)).toEqual([10, 10, 15, 20, 30, 40, 40]);
    expect(quantiles([7], [3], [0, 0.3, 1])).toEqual([7, 7, 7]);
    expect(quantiles([2, 2, 2], [1, 5, 1], [0.05, 0.5])).toEqual([2, 2]);
  });

  it('are Hazen’s of values that weigh the same', () => {
    // Of 1 to 5 by hand: the place of 0.2 is 1.5, that of 0.5 is 3, that of 0.95 is beyond the last.
    expect(quantiles([5, 3, 1, 4, 2], equal(5), [0.2, 0.5, 0.95])).toEqual([1.5, 3, 5]);
    const values = fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 1, maxLength: 40 });
    const probability = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(values, probability, (some, one) => {
        expect(quantiles(some, equal(some.length), [one])[0]).toBeCloseTo(hazen(some, one), 9);
      }),
      { seed: 5, numRuns: 300 },
    );
  });

  const member = fc.record({
    value: fc.integer({ min: -20, max: 20 }),
    weight: fc.integer({ min: 1, max: 9 }),
  });
  const of = (some: readonly { value: number; weight: number }[], times = 1) =>
    quantiles(
      some.map(({ value }) => value),
      some.map(({ weight }) => weight * times),
      [0.01, 0.05, 0.5, 0.95],
    );

  it('depend neither on the order of values nor on the sum of weights', () => {
    const members = fc.uniqueArray(member, {
      minLength: 1,
      maxLength: 12,
      selector: (one) => one.value,
    });
    fc.assert(
      fc.property(members, (some) => {
        const found = of(some);
        const turned = of(some.toReversed(), 0.125);
        for (const [index, value] of found.entries()) expect(turned[index]).toBeCloseTo(value, 9);
        expect(found).toEqual(found.toSorted((a, b) => a - b));
      }),
      { seed: 6, numRuns: 200 },
    );
  });

  it('are the same whatever was asked before, of equal values too', () => {
    const members = fc.array(member, { minLength: 6, maxLength: 6 });
    fc.assert(
      fc.property(members, members, (some, others) => {
        const found = of(some);
        of(others);
        expect(of(some)).toEqual(found);
      }),
      { seed: 7, numRuns: 200 },
    );
  });

  it('are the same of a sand that stands twice with half of the weight, but for its edges', () => {
    const once = quantiles([1, 2, 3], [0.2, 0.6, 0.2], [0.5]);
    expect(quantiles([1, 2, 2, 3], [0.2, 0.3, 0.3, 0.2], [0.5])).toEqual(once);
  });
});
