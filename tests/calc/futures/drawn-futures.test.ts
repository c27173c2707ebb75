import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawnFutures } from '../../../calc/futures/drawn-futures.ts';

const members = (weights: readonly number[]) =>
  weights.map((weightFraction) => ({ weightFraction }));
const inOrder = (count: number) => Array.from({ length: count }, (_, index) => index);

describe('futures drawn from sands and weathers', () => {
  it('have each sand by its weight, in the order that was given', () => {
    const drawn = drawnFutures(members([0.5, 0.125, 0.375]), [2, 0, 1], 8);
    expect(drawn.map(({ member }) => member)).toEqual([2, 2, 2, 0, 0, 0, 0, 1]);
  });

  const weights = fc
    .array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 60 })
    .map((some) => some.map((one) => one / some.reduce((sum, weight) => sum + weight, 0)));

  it('have each weather once, and each sand as often as its weight says, within one', () => {
    fc.assert(
      fc.property(weights, fc.integer({ min: 1, max: 80 }), (some, count) => {
        const drawn = drawnFutures(members(some), inOrder(some.length), count);
        expect(drawn.map(({ weather }) => weather).sort((a, b) => a - b)).toEqual(inOrder(count));
        for (const [index, weight] of some.entries()) {
          const times = drawn.filter(({ member }) => member === index).length;
          expect(Math.abs(times - weight * count)).toBeLessThan(1 + 1e-9);
        }
      }),
      { seed: 12, numRuns: 200 },
    );
  });

  it('pair neither dry sands with hot days alone nor with cool ones', () => {
    for (const count of [32, 40, 48, 60]) {
      const drawn = drawnFutures(members([0.25, 0.25, 0.25, 0.25]), inOrder(4), count);
      for (const member of inOrder(4)) {
        const own = drawn.filter((one) => one.member === member).map(({ weather }) => weather);
        const mean = own.reduce((sum, weather) => sum + weather, 0) / own.length;
        // Even ones have (count - 1) / 2 in the mean; a quarter of them at one end lies 3/8 of the count off.
        expect(Math.abs(mean - (count - 1) / 2)).toBeLessThan(count / 8);
      }
    }
  });

  it('need a sand and a weather', () => {
    expect(() => drawnFutures([], [], 5)).toThrow(RangeError);
    expect(() => drawnFutures(members([1]), [0], 0)).toThrow(RangeError);
  });
});
