import { expect, test } from 'vitest';
import { runTimeMultiplierFraction } from '../../../calc/sprinkler/precipitation-rate.ts';

/** Irrigation Association's table, two decimals (from memory; the form recomputed by hand). */
const multipliers = [
  [40, 1.56],
  [50, 1.43],
  [60, 1.32],
  [65, 1.27],
  [70, 1.22],
  [75, 1.18],
  [80, 1.14],
  [85, 1.1],
  [90, 1.06],
  [95, 1.03],
  [100, 1],
] as const;

test('the table is whole', () => {
  expect(multipliers).toHaveLength(11);
});

test.each(multipliers)('DU %i %% gives %f (from memory)', (duPct, multiplier) => {
  expect(Math.abs(runTimeMultiplierFraction(duPct) - multiplier)).toBeLessThanOrEqual(0.005);
});

test('refuses a uniformity that cannot be', () => {
  expect(() => runTimeMultiplierFraction(0)).toThrow(RangeError);
  expect(() => runTimeMultiplierFraction(101)).toThrow(/duLowQuarterPct: .*got 101/);
});
