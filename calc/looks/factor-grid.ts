/** Bounds of the two factors: a look shortens times to dry, or leaves them, and never lengthens them. */
export const LEAST_CAPACITY_FRACTION = 0.5;
export const MOST_EXPOSURE_FRACTION = 2;

/** What is thought of the two factors before any look: standard deviations of their logs. */
export interface Beginning {
  capacitySpreadLog: number;
  exposureSpreadLog: number;
}

/** Logs of the weights of the grid's points, up to a constant: capacity by rows, exposure by columns. */
export type FactorWeights = Float64Array;

/** A correction of a bed's store, at most 1, and of its loss, at least 1. */
export interface Factors {
  capacityFraction: number;
  exposureFraction: number;
}

/** Points along each log: steps of 6 %, finer than ten looks can tell. */
const POINTS = 13;
const logs = (mostLog: number) =>
  Float64Array.from({ length: POINTS }, (_, index) => (mostLog * index) / (POINTS - 1));
const CAPACITY_LOG = logs(Math.log(LEAST_CAPACITY_FRACTION));
const EXPOSURE_LOG = logs(Math.log(MOST_EXPOSURE_FRACTION));

/** The weights before any look: normal logs around no correction, cut off at the bounds. */
export function beginningWeights(beginning: Beginning): FactorWeights {
  return weightsOf((capacityLog, exposureLog) => {
    const c = capacityLog / beginning.capacitySpreadLog;
    const e = exposureLog / beginning.exposureSpreadLog;
    return -0.5 * (c * c + e * e);
  });
}

/** The weights with the log of a likelihood added at every point. */
export function withLikelihood(
  weights: FactorWeights,
  logAt: (capacityLog: number, exposureLog: number) => number,
): FactorWeights {
  const added = weightsOf(logAt);
  return weights.map((log, point) => log + (added[point] ?? 0));
}

/** The weights drawn back towards what was thought at first: 1 keeps all that was learned, 0 nothing. */
export function fadedWeights(
  weights: FactorWeights,
  first: FactorWeights,
  keptFraction: number,
): FactorWeights {
  return weights.map((log, point) => keptFraction * log + (1 - keptFraction) * (first[point] ?? 0));
}

/** What is known of the exposure, with a capacity of which nothing has been learned. */
export function withNewCapacity(weights: FactorWeights, beginning: Beginning): FactorWeights {
  const byExposure = Array.from({ length: POINTS }, (_, column) => {
    let best = Number.NEGATIVE_INFINITY;
    for (let row = 0; row < POINTS; row++) {
      best = Math.max(best, weights[row * POINTS + column] ?? best);
    }
    return best;
  });
  return weightsOf((capacityLog, _, column) => {
    const c = capacityLog / beginning.capacitySpreadLog;
    return (byExposure[column] ?? 0) - 0.5 * c * c;
  });
}

/** Chance of each point; they sum to 1. */
export function chancesOf(weights: FactorWeights): Float64Array {
  const top = weights.reduce((most, log) => Math.max(most, log), Number.NEGATIVE_INFINITY);
  const chances = weights.map((log) => Math.exp(log - top));
  const sum = chances.reduce((all, one) => all + one, 0);
  return chances.map((one) => one / sum);
}

/**
 * The likeliest point. No correction is a corner of the grid, so a mean would lie away from it
 * before anything was seen.
 */
export function likeliestFactors(weights: FactorWeights): Factors {
  let best = 0;
  weights.forEach((log, point) => {
    if (log > (weights[best] ?? log)) best = point;
  });
  return {
    capacityFraction: Math.exp(CAPACITY_LOG[Math.floor(best / POINTS)] ?? 0),
    exposureFraction: Math.exp(EXPOSURE_LOG[best % POINTS] ?? 0),
  };
}

function weightsOf(
  logAt: (capacityLog: number, exposureLog: number, column: number) => number,
): FactorWeights {
  const weights = new Float64Array(POINTS * POINTS);
  for (let row = 0; row < POINTS; row++) {
    for (let column = 0; column < POINTS; column++) {
      weights[row * POINTS + column] = logAt(
        CAPACITY_LOG[row] ?? 0,
        EXPOSURE_LOG[column] ?? 0,
        column,
      );
    }
  }
  return weights;
}
