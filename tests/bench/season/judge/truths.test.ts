import { expect, test } from 'vitest';
import { sandClasses } from '../../../../calc/sand/sand-classes.ts';
import { drawnTruth } from './truths.ts';

const seeds = Array.from({ length: 200 }, (_, index) => index);

test('a truth is no default of its class, and lies in its range', () => {
  for (const standIn of sandClasses) {
    for (const seed of seeds.slice(0, 20)) {
      const { reported } = drawnTruth(standIn, seed);
      expect(reported.n).not.toBe(standIn.bed.sand.n);
      expect(reported.n).toBeGreaterThanOrEqual(standIn.range.n[0]);
      expect(reported.n).toBeLessThanOrEqual(standIn.range.n[1]);
    }
  }
});

test('evaporation and the loss at night are drawn for each bed', () => {
  const [standIn] = sandClasses;
  if (standIn === undefined) throw new Error('no class');
  const truths = seeds.map((seed) => drawnTruth(standIn, seed));
  const logs = truths.map(({ lossCoefficient }) => Math.log(lossCoefficient / 1.1));
  const mean = logs.reduce((sum, one) => sum + one, 0) / logs.length;
  const sd = Math.sqrt(logs.reduce((sum, one) => sum + (one - mean) ** 2, 0) / logs.length);
  // Four standard errors of 200 draws.
  expect(Math.abs(mean)).toBeLessThan(0.029);
  expect(Math.abs(sd - 0.1)).toBeLessThan(0.02);
  const nights = truths.map(({ openNightFraction }) => openNightFraction);
  expect(Math.min(...nights)).toBeLessThan(0.1);
  expect(Math.max(...nights)).toBeGreaterThan(0.9);
  expect(Math.max(...nights)).toBeLessThan(1);
});
