import { expect, test } from 'vitest';
import { fitLeastSquares } from '../../../calc/sand/least-squares.ts';

const FAR = 50;
const free = (size: number) => ({
  lower: new Array<number>(size).fill(-FAR),
  upper: new Array<number>(size).fill(FAR),
  iterations: 60,
  differenceFraction: 1e-4,
});

test('a linear problem has the solution of its normal equations', () => {
  // y = 2 + 3 x with errors that the line cannot follow: by hand 2.1 and 2.9.
  const points = [
    [0, 2],
    [1, 5.2],
    [2, 7.8],
    [3, 10.8],
  ] as const;
  const { values, cost } = fitLeastSquares({
    ...free(2),
    start: [0, 0],
    residuals: ([a = 0, b = 0]) => points.map(([x, y]) => a + b * x - y),
  });
  expect(values[0]).toBeCloseTo(2.1, 6);
  expect(values[1]).toBeCloseTo(2.9, 6);
  // Residuals 0.1, -0.2, 0.1, 0.
  expect(cost).toBeCloseTo(0.06, 9);
});

test('equations that have to be turned over are solved', () => {
  // The first parameter enters the first equation not at all.
  const { values, cost } = fitLeastSquares({
    ...free(3),
    start: [1, 1, 1],
    residuals: ([a = 0, b = 0, c = 0]) => [b + 2 * c - 8, a + c - 4, a - b + c - 2],
  });
  expect(values.map((value) => Math.round(value * 1e5) / 1e5)).toEqual([1, 2, 3]);
  expect(cost).toBeLessThan(1e-9);
});

test('the valley of Rosenbrock 1960 is followed to its end', () => {
  const { values, cost } = fitLeastSquares({
    ...free(2),
    start: [-1.2, 1],
    residuals: ([x = 0, y = 0]) => [10 * (y - x * x), 1 - x],
  });
  expect(values[0]).toBeCloseTo(1, 4);
  expect(values[1]).toBeCloseTo(1, 4);
  expect(cost).toBeLessThan(1e-8);
});

test('slopes from one side lead to the same end, at a bound too', () => {
  const { values, cost } = fitLeastSquares({
    ...free(2),
    start: [-1.2, 1],
    isOneSided: true,
    residuals: ([x = 0, y = 0]) => [10 * (y - x * x), 1 - x],
  });
  expect(values[0]).toBeCloseTo(1, 3);
  expect(values[1]).toBeCloseTo(1, 3);
  expect(cost).toBeLessThan(1e-6);
  const bounded = { ...free(1), lower: [-1], upper: [2.5], isOneSided: true };
  const residuals = ([a = 0]: readonly number[]) => [a - 1];
  expect(fitLeastSquares({ ...bounded, residuals, start: [2.5] }).values[0]).toBeCloseTo(1, 6);
});

test('values stay between their bounds, the start too', () => {
  const problem = {
    ...free(1),
    residuals: ([a = 0]: readonly number[]) => [a - 9],
    lower: [-1],
    upper: [2.5],
  };
  expect(fitLeastSquares({ ...problem, start: [7], iterations: 0 })).toEqual({
    values: [2.5],
    cost: 42.25,
  });
  expect(fitLeastSquares({ ...problem, start: [-7], iterations: 0 }).values).toEqual([-1]);
  expect(fitLeastSquares({ ...problem, start: [0] }).values[0]).toBeCloseTo(2.5, 9);
});

test('no step is longer than 1 in any parameter', () => {
  const tried: number[] = [];
  fitLeastSquares({
    ...free(1),
    start: [0],
    iterations: 1,
    residuals: ([a = 0]) => {
      tried.push(a);
      return [a - 20];
    },
  });
  expect(Math.max(...tried)).toBeCloseTo(1, 9);
});
