/** A foretold value and its weight; weights need not add up to 1. */
interface WeightedValue {
  value: number;
  weightFraction: number;
}

/**
 * Continuous ranked probability score of weighted members against what came, in the members' unit:
 * 0 is a certain and right forecast; of one member it is the absolute error. It scores a record of
 * forecasts: the mean over many days is lower the sharper and the more honest the spread is.
 *
 * Inputs: one member at least, weights from 0 with a sum above 0. Throws RangeError otherwise.
 * Source: Gneiting & Raftery 2007, JASA 102:359, Eq. 21: E|X - y| - E|X - X'| / 2.
 * Example: members 1, 2 and 4 against 3: 4/3 - 2/3 = 2/3.
 */
export function crps(members: readonly WeightedValue[], observed: number): number {
  const sorted = [...members].sort((a, b) => a.value - b.value);
  const sum = sorted.reduce((total, { weightFraction }) => total + weightFraction, 0);
  const sound = sorted.every(
    ({ value, weightFraction }) => Number.isFinite(value) && weightFraction >= 0,
  );
  if (!(sum > 0 && Number.isFinite(sum) && sound && Number.isFinite(observed))) {
    throw new RangeError(
      `crps: no forecast to score (got ${members.length} members of weight ${sum}); give finite values and weights from 0`,
    );
  }
  // Integral of (F - step at what came)² from stretch to stretch between sorted members.
  let score = 0;
  let below = 0;
  const square = (fraction: number) => fraction ** 2;
  for (const [index, { value, weightFraction }] of sorted.entries()) {
    if (index === 0 && observed < value) score += value - observed;
    below += weightFraction / sum;
    const next = sorted[index + 1]?.value;
    if (next === undefined) {
      if (observed > value) score += observed - value;
      break;
    }
    const at = Math.min(next, Math.max(value, observed));
    score += square(below) * (at - value) + square(1 - below) * (next - at);
  }
  return score;
}
