import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { crps } from '../../../calc/futures/crps.ts';

const alike = (values: readonly number[]) => values.map((value) => ({ value, weightFraction: 1 }));

describe('continuous ranked probability score', () => {
  it('is that worked by hand', () => {
    // Members 1, 2 and 4 against 3: distances 2, 1, 1 (mean 4/3), pairs 1, 3, 2 twice over nine (4/3).
    expect(crps(alike([4, 1, 2]), 3)).toBeCloseTo(4 / 3 - 4 / 3 / 2, 12);
    // Below all: 1, 2, 4 against 0: 7/3 - 2/3. Above all: against 6: 11/3 - 2/3.
    expect(crps(alike([1, 2, 4]), 0)).toBeCloseTo(7 / 3 - 2 / 3, 12);
    expect(crps(alike([1, 2, 4]), 6)).toBeCloseTo(11 / 3 - 2 / 3, 12);
  });

  it('is the absolute error of one member', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: -50, max: 50, noNaN: true }),
        (a, b) => {
          expect(crps(alike([a]), b)).toBeCloseTo(Math.abs(a - b), 9);
        },
      ),
    );
  });

  it('is E|X - y| - E|X - X| / 2 for any members and weights', () => {
    const value = fc.double({ min: -20, max: 20, noNaN: true });
    const member = fc.record({
      value,
      weightFraction: fc.double({ min: 0.01, max: 1, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(member, { minLength: 1, maxLength: 12 }), value, (members, observed) => {
        const sum = members.reduce((total, one) => total + one.weightFraction, 0);
        let apart = 0;
        let among = 0;
        for (const one of members) {
          apart += (one.weightFraction / sum) * Math.abs(one.value - observed);
          for (const other of members) {
            const both = (one.weightFraction * other.weightFraction) / sum ** 2;
            among += both * Math.abs(one.value - other.value);
          }
        }
        expect(crps(members, observed)).toBeCloseTo(apart - among / 2, 9);
      }),
    );
  });

  it('comes near that of a normal distribution', () => {
    // Gneiting & Raftery 2007, JASA 102:359, Eq. 20, at the mean: sigma (sqrt 2 - 1) / sqrt pi.
    // Quantiles of the standard normal at 1/8 to 7/8 (published tables), mean of four a side by symmetry.
    const quantiles = [-1.534, -0.887, -0.489, -0.157, 0.157, 0.489, 0.887, 1.534];
    expect(crps(alike(quantiles), 0)).toBeCloseTo((Math.SQRT2 - 1) / Math.sqrt(Math.PI), 1);
  });

  it('refuses no members, no weight and what is no number', () => {
    expect(() => crps([], 1)).toThrow(RangeError);
    expect(() => crps([{ value: 1, weightFraction: 0 }], 1)).toThrow(RangeError);
    expect(() => crps([{ value: 1, weightFraction: -1 }, ...alike([2, 2])], 1)).toThrow(RangeError);
    expect(() => crps(alike([Number.NaN]), 1)).toThrow(RangeError);
    expect(() => crps(alike([1]), Number.NaN)).toThrow(RangeError);
  });
});
