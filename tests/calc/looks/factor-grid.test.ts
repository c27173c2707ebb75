import { describe, expect, it } from 'vitest';
import {
  fadedWeights,
  likeliestFactors,
  priorWeights,
  probabilitiesOf,
  withLikelihood,
  withNewCapacity,
} from '../../../calc/looks/learn-bed.ts';

const beginning = { capacitySpreadLog: 0.3, exposureSpreadLog: 0.4 };
const first = priorWeights(beginning);
/** Thirteen points along each log, from none to a half, and to twice. */
const stepLog = Math.log(2) / 12;
const at = (row: number, column: number) => 13 * row + column;
/** A likelihood that is largest at these steps. */
const peakedAt = (row: number, column: number) => (capacityLog: number, exposureLog: number) =>
  -100 * ((capacityLog + row * stepLog) ** 2 + (exposureLog - column * stepLog) ** 2);

describe('the grid of factors', () => {
  it('begins with normal logs around no correction', () => {
    expect(first).toHaveLength(169);
    expect(first[0]).toBe(-0);
    expect(first[at(12, 0)]).toBeCloseTo(-0.5 * (Math.log(2) / 0.3) ** 2, 9);
    expect(first[at(0, 12)]).toBeCloseTo(-0.5 * (Math.log(2) / 0.4) ** 2, 9);
    const both = -0.5 * ((3 * stepLog) / 0.3) ** 2 - 0.5 * ((5 * stepLog) / 0.4) ** 2;
    expect(first[at(3, 5)]).toBeCloseTo(both, 9);
  });

  it('has its likeliest point at no correction, until something was seen', () => {
    expect(likeliestFactors(first)).toEqual({ capacityFraction: 1, exposureFraction: 1 });
    const seen = withLikelihood(
      first.map(() => 0),
      peakedAt(12, 0),
    );
    expect(likeliestFactors(seen).capacityFraction).toBeCloseTo(0.5, 9);
    expect(likeliestFactors(seen).exposureFraction).toBe(1);
    const other = likeliestFactors(
      withLikelihood(
        first.map(() => 0),
        peakedAt(3, 12),
      ),
    );
    expect(other.capacityFraction).toBeCloseTo(2 ** -0.25, 9);
    expect(other.exposureFraction).toBeCloseTo(2, 9);
  });

  it('adds likelihood to what was thought', () => {
    const seen = withLikelihood(first, () => -2);
    expect(seen[at(3, 5)]).toBeCloseTo((first[at(3, 5)] ?? 0) - 2, 12);
  });

  it('has chances that sum to one, in the ratio of their weights', () => {
    const chances = probabilitiesOf(first.map((log) => log + 800));
    expect(chances.reduce((sum, one) => sum + one, 0)).toBeCloseTo(1, 12);
    const ratio = (chances[at(3, 5)] ?? 0) / (chances[0] ?? 1);
    expect(ratio).toBeCloseTo(Math.exp(first[at(3, 5)] ?? 0), 9);
  });

  it('fades towards what was thought at first', () => {
    const seen = withLikelihood(first, () => -4);
    expect(fadedWeights(seen, first, 1)).toEqual(seen);
    expect(fadedWeights(seen, first, 0)).toEqual(first);
    expect(fadedWeights(seen, first, 0.75)[at(2, 2)]).toBeCloseTo((first[at(2, 2)] ?? 0) - 3, 9);
  });

  it('keeps of a bed with a new depth what the best capacity says of its exposure', () => {
    const seen = withLikelihood(
      first.map(() => 0),
      peakedAt(6, 4),
    );
    const anew = withNewCapacity(seen, beginning);
    expect(likeliestFactors(anew).capacityFraction).toBe(1);
    expect(likeliestFactors(anew).exposureFraction).toBeCloseTo(2 ** (4 / 12), 9);
    // By the capacity alone it falls as it did at first.
    const fall = (anew[at(5, 4)] ?? 0) - (anew[at(0, 4)] ?? 0);
    expect(fall).toBeCloseTo(-0.5 * ((5 * stepLog) / 0.3) ** 2, 9);
    expect((anew[at(0, 7)] ?? 0) - (anew[at(0, 4)] ?? 0)).toBeCloseTo(-100 * (3 * stepLog) ** 2, 9);
  });
});
