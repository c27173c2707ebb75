/** Bounds of both factors. */
export const LEAST_FRACTION = 0.5;
export const MOST_FRACTION = 2;

/** What is thought of the two factors before any look: standard deviations of their logs. */
export interface Beginning {
  capacitySpreadLog: number;
  exposureSpreadLog: number;
}

/** Logs of the weights of the grid's points, up to a constant: capacity by rows, exposure by columns. */
export type FactorWeights = Float64Array;

/** The two factors with the standard deviations of their logs. */
export interface FactorMean extends Beginning {
  capacityFraction: number;
  exposureFraction: number;
}

/** Points along each log: steps of 6 %, finer than ten looks can tell. */
const POINTS = 25;
const WIDTH_LOG = Math.log(MOST_FRACTION / LEAST_FRACTION);
const POINT_LOG = Float64Array.from(
  { length: POINTS },
  (_, index) => Math.log(LEAST_FRACTION) + (WIDTH_LOG * index) / (POINTS - 1),
);

/** The weights before any look: normal logs, cut off at the bounds. */
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
  const chances = chancesOf(weights);
  const byExposure = Array.from({ length: POINTS }, (_, column) => {
    let sum = 0;
    for (let row = 0; row < POINTS; row++) sum += chances[row * POINTS + column] ?? 0;
    return Math.log(Math.max(Number.MIN_VALUE, sum));
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

/** Mean and spread of the logs. */
export function meanFactors(weights: FactorWeights): FactorMean {
  let [c, e, cc, ee] = [0, 0, 0, 0];
  chancesOf(weights).forEach((chance, point) => {
    const capacityLog = POINT_LOG[Math.floor(point / POINTS)] ?? 0;
    const exposureLog = POINT_LOG[point % POINTS] ?? 0;
    c += chance * capacityLog;
    e += chance * exposureLog;
    cc += chance * capacityLog ** 2;
    ee += chance * exposureLog ** 2;
  });
  return {
    capacityFraction: Math.exp(c),
    exposureFraction: Math.exp(e),
    capacitySpreadLog: Math.sqrt(Math.max(0, cc - c * c)),
    exposureSpreadLog: Math.sqrt(Math.max(0, ee - e * e)),
  };
}

function weightsOf(
  logAt: (capacityLog: number, exposureLog: number, column: number) => number,
): FactorWeights {
  const weights = new Float64Array(POINTS * POINTS);
  for (let row = 0; row < POINTS; row++) {
    for (let column = 0; column < POINTS; column++) {
      weights[row * POINTS + column] = logAt(POINT_LOG[row] ?? 0, POINT_LOG[column] ?? 0, column);
    }
  }
  return weights;
}
