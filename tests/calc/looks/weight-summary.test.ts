import { describe, expect, it } from 'vitest';
import { summaryOfWeights } from '../../../calc/looks/weight-summary.ts';

describe('weights in plain figures', () => {
  const members = [
    { capacityMm: 1, lossFactor: 1 },
    { capacityMm: 2, lossFactor: 1 },
    { capacityMm: 4, lossFactor: 1.21 },
  ];

  it('are ratios of geometric means', () => {
    // Logs by 2: the store's mean goes from 1 to 0.5, a factor of 0.7071; nothing is said of the loss.
    const less = summaryOfWeights([1, 1, 1], [0.6, 0.3, 0.1], members);
    expect(less.storeChangeFraction).toBeCloseTo(Math.SQRT1_2 - 1, 12);
    const moved = summaryOfWeights(
      [0.5, 0, 0.5].map((one) => one + 1e-12),
      [1e-12, 1e-12, 1],
      members,
    );
    // From the middle of 1 and 1.21, which is 1.1, to 1.21: 10 % faster. From 2 mm to 4 mm.
    expect(moved.lossChangeFraction).toBeCloseTo(0.1, 9);
    expect(moved.storeChangeFraction).toBeCloseTo(1, 9);
  });

  it('say nothing where nothing has changed, and refuse what is no member', () => {
    expect(summaryOfWeights([1, 2, 3], [2, 4, 6], members)).toEqual({
      storeChangeFraction: 0,
      lossChangeFraction: 0,
    });
    expect(() => summaryOfWeights([1, 1], [1, 1], members)).toThrow(RangeError);
    const dry = members.map((one) => ({ ...one, capacityMm: 0 }));
    expect(() => summaryOfWeights([1, 1, 1], [1, 1, 1], dry)).toThrow(RangeError);
  });
});
