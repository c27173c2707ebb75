import { expect, test } from 'vitest';
import { stratified } from '../../../calc/sand/stratified.ts';

test.each([
  [6, 5],
  [24, 7],
  [4, 1],
])('%i points of %i numbers take each stratum of each dimension once', (count, dimensions) => {
  const points = stratified(count, dimensions);
  expect(points).toHaveLength(count);
  for (let k = 0; k < dimensions; k++) {
    const values = points.map((point) => point[k] ?? Number.NaN).sort((a, b) => a - b);
    for (const [i, value] of values.entries()) expect(value).toBeCloseTo((i + 0.5) / count, 12);
  }
  const edge = stratified(count, dimensions, 0.25);
  expect((edge[0]?.[0] ?? 0) - (points[0]?.[0] ?? 0)).toBeCloseTo(-0.25 / count, 12);
  expect(stratified(count, dimensions)).toEqual(points);
});

/** Pearson's coefficient from the sums of a hand calculation. */
function correlation(x: readonly number[], y: readonly number[]): number {
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
  const product = (a: readonly number[], b: readonly number[]) =>
    sum(a.map((value, i) => value * (b[i] ?? Number.NaN))) - (sum(a) * sum(b)) / a.length;
  return product(x, y) / Math.sqrt(product(x, x) * product(y, y));
}

test.each([
  [6, 5, 0.4],
  [24, 7, 0.25],
])('no two dimensions of %i points of %i go together', (count, dimensions, most) => {
  const points = stratified(count, dimensions);
  const column = (k: number) => points.map((point) => point[k] ?? Number.NaN);
  for (let a = 0; a < dimensions; a++) {
    for (let b = 0; b < a; b++) {
      expect(Math.abs(correlation(column(a), column(b)))).toBeLessThan(most);
    }
  }
});
