import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { scaledToMean } from '../../../calc/futures/scaled-to-mean.ts';

const mean = (values: Float64Array) => values.reduce((sum, one) => sum + one, 0) / values.length;

describe('values scaled to a mean below caps', () => {
  it('gives what clipping took to those that have room', () => {
    // 1, 2, 4 to a mean of 4, none above 5: 4 is capped, the others share 7; then 1 to 3, 2 to 6 is
    // capped as well where the mean is 13/3.
    expect([...scaledToMean(Float64Array.of(1, 2, 4), 5, 4)]).toEqual([7 / 3, 14 / 3, 5]);
    expect([...scaledToMean(Float64Array.of(1, 2, 4), 5, 13 / 3)]).toEqual([3, 5, 5]);
    expect([...scaledToMean(Float64Array.of(1, 2, 3), 100, 4)]).toEqual([2, 4, 6]);
    expect([...scaledToMean(Float64Array.of(0, 0), 5, 0)]).toEqual([0, 0]);
  });

  it('meets the mean wherever the caps allow it, in the same order', () => {
    const part = fc.double({ min: 0.01, max: 1, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(part, part), { minLength: 1, maxLength: 24 }),
        part,
        (rows, share) => {
          const values = Float64Array.from(rows, ([value]) => value);
          const caps = Float64Array.from(rows, ([, cap]) => cap);
          const wanted = share * mean(caps);
          const scaled = scaledToMean(values, caps, wanted);
          expect(mean(scaled)).toBeCloseTo(wanted, 9);
          scaled.forEach((one, index) => {
            expect(one).toBeGreaterThanOrEqual(0);
            expect(one).toBeLessThanOrEqual(caps[index] ?? 0);
          });
        },
      ),
    );
  });
});
