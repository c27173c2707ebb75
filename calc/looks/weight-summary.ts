import { checkedPrior, weightedMean } from './weight-filter.ts';

/** What a change of weights means in plain figures, as parts: -0.09 is 9 % less. */
export interface WeightSummary {
  storeChangeFraction: number;
  lossChangeFraction: number;
}

/**
 * How the store and the loss that a bed counts with have changed from one set of weights to another:
 * ratios of the weighted geometric means, less 1. Geometric, because a member that holds many times as
 * much as the others would outweigh them all in an arithmetic one.
 *
 * @throws RangeError when lists differ in length or a capacity or loss factor is not above 0
 */
export function summaryOfWeights(
  prior: readonly number[],
  weights: readonly number[],
  members: readonly { capacityMm: number; lossFactor: number }[],
): WeightSummary {
  const isWhole = prior.length === members.length && weights.length === members.length;
  if (!isWhole || !members.every((one) => one.capacityMm > 0 && one.lossFactor > 0)) {
    throw new RangeError(
      `summaryOfWeights: each of ${members.length} members needs two weights, a capacity and a loss factor above 0 (got ${prior.length} and ${weights.length} weights)`,
    );
  }
  const [first, now] = [checkedPrior(prior), checkedPrior(weights)];
  const changeOf = (value: (member: (typeof members)[number]) => number) => {
    const logs = members.map((member) => Math.log(value(member)));
    return Math.expm1(weightedMean(now, logs) - weightedMean(first, logs));
  };
  return {
    storeChangeFraction: changeOf(({ capacityMm }) => capacityMm),
    lossChangeFraction: changeOf(({ lossFactor }) => lossFactor),
  };
}
