import { chancesOfSurfaces, TELLING_SURFACES } from './member-look.ts';
import { checkedPrior, normalised } from './weight-filter.ts';

/** A moment at which a bed could be looked at. */
export interface LookChoice {
  atMs: number;
  /** Part of its store that each member will have left then, in the library's order; 0 or less: dry. */
  leftFractions: readonly number[];
  /** Hours to dry for each member: what the look is to tell. */
  hoursToDry: readonly number[];
}

/** A bed with the weights of its members now. */
export interface LookableBed {
  bedId: string;
  weights: readonly number[];
  times: readonly LookChoice[];
}

/** Where a look pays. */
export interface WorthOfLook {
  bedId: string;
  atMs: number;
  /** Hours by which a look is expected to narrow the band from the 5th to the 95th percentile. */
  worthH: number;
}

/** Width of the band from the 5th to the 95th percentile of a normal distribution, in standard deviations. */
const BAND_WIDTH_COEFFICIENT = 2 * 1.6448536;

/**
 * Where a look is worth most: the beds at which it is expected to narrow the band of the time to dry
 * most, each with its best time, the best first.
 *
 * For each surface that may be seen: how likely it is by the members' weights, wrong looks reckoned
 * with, and the spread of the times to dry that it would leave. The worth is the spread now less the
 * mean of those, as the width of the band from the 5th to the 95th percentile of a normal distribution
 * with that standard deviation. The mean of the spreads after a look is never above the spread before
 * it (law of total variance), so no worth is below 0. Percentiles of a few dozen weights would jump.
 *
 * Beds at which a look would tell nothing are left out.
 *
 * @param eye weights of the thresholds of the eye of the person who would look (`eyeOf`)
 * @param most how many beds to name
 * @throws RangeError when lists differ in length, or a number of hours is not one
 * Source: expected value of sample information, Raiffa & Schlaifer 1961, Applied Statistical Decision
 * Theory, ch. 4, with the spread as the loss (from memory).
 */
export function worthOfLooks(
  beds: readonly LookableBed[],
  eye: readonly number[],
  most = 2,
): WorthOfLook[] {
  return beds
    .flatMap((bed) => {
      const weights = checkedPrior(bed.weights);
      const [first, ...others] = bed.times.map((time) => ({
        bedId: bed.bedId,
        atMs: time.atMs,
        worthH: worthAt(weights, time, eye),
      }));
      if (first === undefined) return [];
      return [others.reduce((best, one) => (one.worthH > best.worthH ? one : best), first)];
    })
    .filter(({ worthH }) => worthH > LEAST_WORTH_H)
    .toSorted((a, b) => b.worthH - a.worthH)
    .slice(0, most);
}

/** Less than half a minute is nothing but rounding. */
const LEAST_WORTH_H = 1 / 120;

function worthAt(weights: readonly number[], time: LookChoice, eye: readonly number[]): number {
  const { leftFractions, hoursToDry } = time;
  if (leftFractions.length !== weights.length || hoursToDry.length !== weights.length) {
    throw new RangeError(
      `worthOfLooks: each list needs one number for each of ${weights.length} members (got ${leftFractions.length} and ${hoursToDry.length})`,
    );
  }
  if (!hoursToDry.every(Number.isFinite)) {
    throw new RangeError(
      `worthOfLooks: hours to dry must be numbers (got ${hoursToDry.join(', ')}); cut them off at the end of what is looked at`,
    );
  }
  const chances = leftFractions.map((left) => chancesOfSurfaces(left, eye));
  let leftH = 0;
  for (const surface of TELLING_SURFACES) {
    const joint = weights.map((weight, member) => weight * (chances[member]?.[surface] ?? 0));
    const seenFraction = joint.reduce((all, one) => all + one, 0);
    leftH += seenFraction * spreadH(normalised(joint), hoursToDry);
  }
  return BAND_WIDTH_COEFFICIENT * (spreadH(weights, hoursToDry) - leftH);
}

/** Weighted standard deviation. */
function spreadH(weights: readonly number[], hours: readonly number[]): number {
  let meanH = 0;
  hours.forEach((one, member) => {
    meanH += (weights[member] ?? 0) * one;
  });
  let variance = 0;
  hours.forEach((one, member) => {
    variance += (weights[member] ?? 0) * (one - meanH) ** 2;
  });
  return Math.sqrt(variance);
}
