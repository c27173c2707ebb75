import { expect, test } from 'vitest';
import { seedOrder } from '../../../calc/growth/seed-rate.ts';

test('1.5 lb on 1000 square feet and 6 to 9 million seeds a pound (common practice)', () => {
  const order = seedOrder({ areaM2: 92.90304 });
  expect(order.seedKg).toBeCloseTo(1.5 * 0.45359237, 9);
  expect(order.seedPerPassKg).toBeCloseTo(order.seedKg / 2, 12);
  // 1.5 x 6e6 / 144000 square inches = 62.5; 9e6: 93.75.
  expect(order.seedsPerIn2[0]).toBeCloseTo(62.5, 6);
  expect(order.seedsPerIn2[1]).toBeCloseTo(93.75, 6);
  expect(order.seedsPerCm2[0]).toBeCloseTo(62.5 / 6.4516, 6);
});

test('mass goes with the area, density does not', () => {
  const small = seedOrder({ areaM2: 10, rateKgPerM2: 0.007, passes: 4 });
  const large = seedOrder({ areaM2: 500, rateKgPerM2: 0.007, passes: 4 });
  expect(large.seedKg).toBeCloseTo(50 * small.seedKg, 9);
  expect(large.seedsPerCm2).toEqual(small.seedsPerCm2);
  expect(small.seedPerPassKg * 4).toBeCloseTo(0.07, 12);
});

test('refuses what cannot be sown', () => {
  expect(() => seedOrder({ areaM2: 0 })).toThrow(/seedOrder\.areaM2: .*got 0/);
  expect(() => seedOrder({ areaM2: 1, passes: 1.5 })).toThrow(/passes: not whole \(got 1\.5\)/);
  expect(() => seedOrder({ areaM2: 1, seedsPerKg: [2e7, 1e7] })).toThrow(RangeError);
});
