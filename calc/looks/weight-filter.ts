/**
 * Weights over the members of a library as a filter keeps them: logs of weight over prior weight, up
 * to a constant. Zeros are the prior itself.
 */
export type WeightLogs = Float64Array;

/** What a day leaves of what was learned: dust, thatch and a hedge in leaf change a bed. */
const KEPT_A_DAY_FRACTION = 0.98;
const DAY_MS = 24 * 3_600_000;
/**
 * How far the likeliest and the least likely member may stand apart before a look, as a log. Beyond
 * that the logs are drawn together: four looks that agree can turn round whatever was thought.
 */
const WIDEST_LOG = Math.log(1000);

/**
 * Logs after some time without looks: what was learned fades by 2 % a day, and no member is given up.
 * Both draw the weights towards the prior along the same path, w ~ prior (w / prior)^k with k <= 1.
 *
 * Source: forgetting towards the first guess, Kulhavý & Zarrop 1993, Int. J. Control 58:905-924 (from
 * memory). The bound is an assumption of this project.
 */
export function fadedLogs(logs: WeightLogs, durationMs: number): WeightLogs {
  const kept = KEPT_A_DAY_FRACTION ** (Math.max(0, durationMs) / DAY_MS);
  const [lowest, highest] = rangeOf(logs);
  const apart = kept * (highest - lowest);
  const power = apart > WIDEST_LOG ? (kept * WIDEST_LOG) / apart : kept;
  const faded = new Float64Array(logs.length);
  for (let member = 0; member < logs.length; member++) {
    // From the top, so that the logs do not drift away over months of looks.
    faded[member] = power * ((logs[member] ?? 0) - highest);
  }
  return faded;
}

function rangeOf(logs: WeightLogs): [lowest: number, highest: number] {
  let [lowest, highest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const log of logs) {
    if (log < lowest) lowest = log;
    if (log > highest) highest = log;
  }
  return [lowest, highest];
}

/**
 * Logs after a look, by how likely the look was for each member: Bayes' rule on importance weights.
 *
 * No member is drawn anew. Members are models that were derived from a column before; a jittered one
 * between them would have none, and forgetting with a bound keeps all of them alive. Covariance
 * resampling (Berg, Bauser & Roth 2019, Hydrol. Earth Syst. Sci. 23:1163-1178) is for continuous
 * parameters and was left for that.
 *
 * @param chances above 0, as those of a mixture with wrong looks are
 * Source: Gordon, Salmond & Smith 1993, IEE Proc. F 140:107-113, without its resampling (from memory).
 */
export function logsAfter(logs: WeightLogs, chances: readonly number[]): WeightLogs {
  const after = new Float64Array(logs.length);
  for (let member = 0; member < logs.length; member++) {
    const chance = chances[member] ?? 0;
    if (!(chance > 0)) {
      throw new RangeError(
        `logsAfter: each of ${logs.length} members needs a chance above 0 (got ${chance}); reckon with wrong looks`,
      );
    }
    after[member] = (logs[member] ?? 0) + Math.log(chance);
  }
  return after;
}

/** The weights themselves: all above 0, and their sum is 1. */
export function weightsOf(prior: readonly number[], logs: WeightLogs): number[] {
  const [, highest] = rangeOf(logs);
  return normalised(
    prior.map((weight, member) => weight * Math.exp((logs[member] ?? 0) - highest)),
  );
}

/** Weights in the same proportions with the sum 1. */
export function normalised(weights: readonly number[]): number[] {
  const sum = weights.reduce((all, one) => all + one, 0);
  return weights.map((weight) => weight / sum);
}

export function weightedMean(weights: readonly number[], values: readonly number[]): number {
  return weights.reduce((all, weight, member) => all + weight * (values[member] ?? 0), 0);
}

/** @throws RangeError when a prior weight is not above 0, or there is none. */
export function checkedPrior(prior: readonly number[]): number[] {
  if (prior.length === 0 || !prior.every((weight) => weight > 0 && Number.isFinite(weight))) {
    throw new RangeError(
      `prior: each member needs a weight above 0 (got ${prior.join(', ')}); leave out impossible members`,
    );
  }
  return normalised(prior);
}

/** Members nearer in the log of their loss than this tell much of each other's. */
const LIKE_LOSS_LOG = 0.05;

/**
 * Logs after a change of the managed depth: what was learned of the loss is kept, and what was learned
 * of the store let go. Each member gets what members of about its own loss factor have won or lost
 * together; among them, the prior holds.
 *
 * @param lossFactors each member's own, above 0, in the library's order
 */
export function logsByLoss(
  prior: readonly number[],
  logs: WeightLogs,
  lossFactors: readonly number[],
): WeightLogs {
  const weights = weightsOf(prior, logs);
  const lossLogs = lossFactors.map((factor) => Math.log(factor));
  return Float64Array.from(lossLogs, (own) => {
    let [won, first] = [0, 0];
    lossLogs.forEach((other, member) => {
      const z = (other - own) / LIKE_LOSS_LOG;
      const likeness = Math.exp(-0.5 * z * z);
      won += likeness * (weights[member] ?? 0);
      first += likeness * (prior[member] ?? 0);
    });
    return Math.log(won / first);
  });
}
