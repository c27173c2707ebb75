import { describe, expect, it } from 'vitest';
import {
  checkedPrior,
  fadedLogs,
  logsAfter,
  logsByLoss,
  type WeightLogs,
  weightsOf,
} from '../../../calc/looks/weight-filter.ts';

const DAY_MS = 24 * 3_600_000;
const none = (members: number) => new Float64Array(members);

describe('Bayes’ rule on weights', () => {
  it('gives the published answer of the mammography problem', () => {
    // 1 % ill, 80 % of them found, 9.6 % of the others taken for ill: 7.8 % (Eddy 1982, in Judgment
    // under Uncertainty, 249-267; from memory).
    const prior = [0.01, 0.99];
    const weights = weightsOf(prior, logsAfter(none(2), [0.8, 0.096]));
    expect(weights[0]).toBeCloseTo(0.0776, 4);
    expect(weights[1]).toBeCloseTo(0.9224, 4);
  });

  it('takes two looks in either order, or as one', () => {
    const prior = [0.2, 0.3, 0.5];
    const [one, other] = [
      [0.1, 0.5, 0.4],
      [0.7, 0.2, 0.3],
    ];
    const forth = weightsOf(prior, logsAfter(logsAfter(none(3), one ?? []), other ?? []));
    const back = weightsOf(prior, logsAfter(logsAfter(none(3), other ?? []), one ?? []));
    // 0.2 x 0.07, 0.3 x 0.1, 0.5 x 0.12 in proportion.
    const sum = 0.014 + 0.03 + 0.06;
    [0.014 / sum, 0.03 / sum, 0.06 / sum].forEach((weight, member) => {
      expect(forth[member]).toBeCloseTo(weight, 12);
      expect(back[member]).toBeCloseTo(weight, 12);
    });
  });

  it('knows no look that is impossible', () => {
    expect(() => logsAfter(none(2), [0.5, 0])).toThrow(RangeError);
    expect(() => logsAfter(none(2), [0.5])).toThrow(RangeError);
    expect(() => checkedPrior([0.5, 0])).toThrow(RangeError);
    expect(() => checkedPrior([])).toThrow(RangeError);
    expect(checkedPrior([1, 3])).toEqual([0.25, 0.75]);
  });
});

describe('what is forgotten', () => {
  it('is half of the log odds after 34.31 days, since 0.98^34.31 is a half', () => {
    const logs = logsAfter(none(2), [0.9, 0.1]);
    // Odds of 9 become odds of 3.
    const [first] = weightsOf([0.5, 0.5], fadedLogs(logs, 34.3096 * DAY_MS));
    expect(first).toBeCloseTo(0.75, 5);
    const day = weightsOf([0.5, 0.5], fadedLogs(logs, DAY_MS));
    expect((day[0] ?? 0) / (day[1] ?? 1)).toBeCloseTo(9 ** 0.98, 9);
  });

  it('leaves the prior in the end', () => {
    const prior = [0.1, 0.2, 0.7];
    const weights = weightsOf(prior, fadedLogs(logsAfter(none(3), [0.8, 0.1, 0.1]), 600 * DAY_MS));
    for (const [member, weight] of weights.entries())
      expect(weight).toBeCloseTo(prior[member] ?? 0, 4);
  });

  it('is what a hundred looks in an hour say beyond 1000 to 1', () => {
    let logs: WeightLogs = none(2);
    for (let look = 0; look < 100; look++) logs = logsAfter(fadedLogs(logs, 30_000), [0.8, 0.1]);
    const [first, second] = weightsOf([0.5, 0.5], fadedLogs(logs, 0));
    expect((first ?? 0) / (second ?? 1)).toBeCloseTo(1000, 3);
    // Four looks that say the opposite turn it round.
    for (let look = 0; look < 4; look++) logs = logsAfter(fadedLogs(logs, 30_000), [0.1, 0.8]);
    expect(weightsOf([0.5, 0.5], logs)[1]).toBeGreaterThan(0.5);
  });
});

describe('after a change of the managed depth', () => {
  const prior = [0.1, 0.3, 0.2, 0.4];
  const lossFactors = [1, 1, 1.3, 1.3];

  it('the loss keeps its weights, and the stores have theirs of before any look', () => {
    const logs = logsAfter(none(4), [0.8, 0.1, 0.1, 0.1]);
    const weights = weightsOf(prior, logsByLoss(prior, logs, lossFactors));
    const before = weightsOf(prior, logs);
    const low = (before[0] ?? 0) + (before[1] ?? 0);
    expect((weights[0] ?? 0) + (weights[1] ?? 0)).toBeCloseTo(low, 5);
    expect((weights[1] ?? 0) / (weights[0] ?? 1)).toBeCloseTo(3, 9);
    expect((weights[3] ?? 0) / (weights[2] ?? 1)).toBeCloseTo(2, 9);
  });

  it('nothing is learned where nothing was', () => {
    const weights = weightsOf(prior, logsByLoss(prior, none(4), lossFactors));
    weights.forEach((weight, member) => {
      expect(weight).toBeCloseTo(prior[member] ?? 0, 12);
    });
  });
});
