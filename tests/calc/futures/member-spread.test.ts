import { describe, expect, it } from 'vitest';
import { bedStore, memberSpread, normalQuantile } from '../../../calc/futures/member-spread.ts';
import { membersOf } from '../../../calc/futures/sand-members.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import type { SeedbedModel } from '../../../calc/sand/seedbed-model.ts';

const models = Object.values(sandClassModels).map(({ model }) => model);
const some = (count: number) =>
  Array.from(
    { length: count },
    (_, index) => ({ ...models[index % models.length] }) as SeedbedModel,
  );
const mean = (values: readonly number[]) =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

describe('the library of a bed', () => {
  const counts = [1, 2, 3, 4, 5, 7, 8, 11, 12, 13, 16, 22, 24, 29, 33, 40, 44, 48, 55, 58];

  it.each(counts)('of %i models has each as often, with weights that add up to 1', (count) => {
    const given = some(count);
    const members = memberSpread(given);
    const sum = members.reduce((total, { weightFraction }) => total + weightFraction, 0);
    expect(sum).toBeCloseTo(1, 12);
    const times = given.map((model) => members.filter((one) => one.model === model).length);
    expect(new Set(times).size).toBe(1);
    expect(times[0]).toBeGreaterThan(0);
  });

  it.each(counts)('of %i models has each factor and each night once', (count) => {
    const members = memberSpread(some(count));
    expect(new Set(members.map(({ lossFactor }) => lossFactor)).size).toBe(members.length);
    expect(new Set(members.map(({ nightFraction }) => nightFraction)).size).toBe(members.length);
    expect(mean(members.map(({ nightFraction }) => nightFraction))).toBeCloseTo(0.5, 9);
    const logs = members.map(({ lossFactor }) => Math.log(lossFactor));
    expect(mean(logs)).toBeCloseTo(0, 9);
    // The middles of equal parts of a distribution vary a little less than it does.
    const spread = Math.sqrt(mean(logs.map((log) => log ** 2)));
    expect(spread).toBeGreaterThan(0.095);
    expect(spread).toBeLessThan(0.1);
  });

  it('keeps its weights in the store of a bed', () => {
    const members = membersOf(bedStore(memberSpread(some(3))));
    expect(members).toHaveLength(48);
    expect(members.reduce((sum, one) => sum + one.weightFraction, 0)).toBeCloseTo(1, 12);
    expect(() => memberSpread([])).toThrow(RangeError);
  });
});

describe('the normal quantile', () => {
  it.each([
    // Tables of the standard normal distribution, from memory.
    [0.5, 0],
    [0.75, 0.67449],
    [0.841345, 1],
    [0.95, 1.644854],
    [0.975, 1.959964],
    [0.99, 2.326348],
    [0.99865, 3],
  ])('of %f is %f, and as much less on the other side', (probability, z) => {
    expect(Math.abs(normalQuantile(probability) - z)).toBeLessThan(4.5e-4);
    expect(normalQuantile(1 - probability)).toBeCloseTo(-normalQuantile(probability), 6);
  });
});
