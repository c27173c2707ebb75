import { lookChance, type Sight } from './look-evidence.ts';

/**
 * A look held against what the model expected of the bed at that moment. The expectation is that of
 * the log of the lost part of the store, and how it changes with the logs of the two factors.
 */
export interface ExpectedLook {
  atMs: number;
  sight: Sight;
  /** Log of the part of the store that was lost by then, expected with these factors. */
  lostLog: number;
  capacityFraction: number;
  exposureFraction: number;
  /** Change of `lostLog` with the log of each factor. */
  byCapacityCoefficient: number;
  byExposureCoefficient: number;
  /** Depth that the stage manages: what was learned of one depth's capacity says little of another's. */
  managedDepthMm: number;
}

/** What a bed's looks have taught: two factors on what is planned with. */
export interface Learned extends Factors {
  /** Looks that were weighed, and those that were too dry to be believed and set aside. */
  looks: number;
  setAside: number;
}

/** One look's own doing: the factors before and after it, and how far it was believed. */
export interface LookStep {
  before: Learned;
  after: Learned;
  /** Chance that the look is right, by what was expected of it; 1 where it teaches nothing. */
  trustFraction: number;
  /** True when it is drier than expected, and more likely wrong than right. */
  isSetAside: boolean;
}

/** How far a bed of known sand may be from what was reported or stated. */
export const KNOWN_SAND: FactorPrior = { capacitySpreadLog: 0.25, exposureSpreadLog: 0.25 };

/** The eye's own blur, in the log of the lost part. */
const EYE_SPREAD_LOG = 0.12;
/** Error of the store's state (dose, rain, start), as a part of what a full one holds. */
const STATE_SPREAD_FRACTION = 0.1;
/** What a day leaves of what was learned: dust, thatch and a hedge in leaf change a bed. */
const KEPT_A_DAY_FRACTION = 0.98;
const DAY_MS = 24 * 3_600_000;

/**
 * A bed's capacity and exposure factors from its looks: they shorten times to dry, and no look
 * lengthens them beyond what the sand's report or class says. What lets a bed outlast its model (water
 * that rises, a cool day, a person's eye) may be gone at the next hot noon; in trials against the
 * numerical column every way of lengthening left some bed dry.
 *
 * A Bayesian filter on a grid over the logs of the two factors, capacity 0.5 to 1 and exposure 1 to 2.
 * Each look weighs the points by how likely it is there, wrong looks reckoned with (`lookChance`).
 * What the look was expected to be follows each point along the slopes that were kept with it. The
 * error of the store's state at a look counts as noise, because looks hours apart have mostly been
 * watered in between. What was learned fades by 2 % a day. The factors are the likeliest point.
 *
 * Looks that came before a change of the managed depth teach only the exposure.
 *
 * @param looks in order of time
 * @param asked.managedDepthMm depth that is planned for now
 * Source: Bucy & Senne 1971, Automatica 7:287-298 (point-mass filter); slopes of the expectation as
 * in the extended Kalman filter, Gelb 1974, Applied Optimal Estimation, sec. 6.1; forgetting towards
 * the first guess after Kulhavý & Zarrop 1993, Int. J. Control 58:905-924 (all from memory).
 */
export function learnBed(
  looks: readonly ExpectedLook[],
  asked: { beginning: FactorPrior; managedDepthMm: number },
): { learned: Learned; steps: LookStep[] } {
  const { beginning } = asked;
  const first = priorWeights(beginning);
  let weights = first;
  let depthMm = looks[0]?.managedDepthMm ?? asked.managedDepthMm;
  let beforeMs = looks[0]?.atMs ?? 0;
  let setAside = 0;
  let now: Learned = { ...likeliestFactors(weights), looks: 0, setAside };
  const steps: LookStep[] = [];
  const toDepth = (nextMm: number) => {
    if (nextMm === depthMm) return;
    depthMm = nextMm;
    weights = withNewCapacity(weights, beginning);
    now = { ...now, ...likeliestFactors(weights) };
  };
  for (const look of looks) {
    toDepth(look.managedDepthMm);
    const days = Math.max(0, look.atMs - beforeMs) / DAY_MS;
    weights = fadedWeights(weights, first, KEPT_A_DAY_FRACTION ** days);
    beforeMs = look.atMs;
    const { after, trustFraction } = withLook(weights, look);
    const isSetAside = trustFraction < 0.5 && isDrier(look, now);
    if (isSetAside) setAside++;
    weights = after;
    const before = now;
    now = { ...likeliestFactors(weights), looks: steps.length + 1, setAside };
    steps.push({ before, after: now, trustFraction, isSetAside });
  }
  toDepth(asked.managedDepthMm);
  return { learned: now, steps };
}

/** Whether more of the store was lost by the look than these factors expect. */
function isDrier(look: ExpectedLook, factors: Factors): boolean {
  const expectedLog = expectedAt(
    look,
    Math.log(factors.capacityFraction),
    Math.log(factors.exposureFraction),
  );
  const { sight } = look;
  return expectedLog < (sight.kind === 'band' ? sight.leastLog : sight.meanLog);
}

/** Log of the lost part that these factors expect at the look. */
function expectedAt(look: ExpectedLook, capacityLog: number, exposureLog: number): number {
  return (
    look.lostLog +
    look.byCapacityCoefficient * (capacityLog - Math.log(look.capacityFraction)) +
    look.byExposureCoefficient * (exposureLog - Math.log(look.exposureFraction))
  );
}

/**
 * What a look may teach: one that was wetter than the sand's own model expected would lengthen, and
 * must not weigh against a later dry one either. A reading counts then as the expected one.
 */
function admissibleSight(look: ExpectedLook): Sight | null {
  const { sight } = look;
  const uncorrectedLog = expectedAt(look, 0, 0);
  if (sight.kind === 'band') return uncorrectedLog > sight.mostLog ? null : sight;
  return { ...sight, meanLog: Math.max(sight.meanLog, uncorrectedLog) };
}

/** The weights after one look, and how far it was believed by what was thought before. */
function withLook(
  weights: FactorWeights,
  look: ExpectedLook,
): { after: FactorWeights; trustFraction: number } {
  const sight = admissibleSight(look);
  if (sight === null) return { after: weights, trustFraction: 1 };
  const chances = probabilitiesOf(weights);
  let [point, right, all] = [0, 0, 0];
  const after = withLikelihood(weights, (capacityLog, exposureLog) => {
    const meanLog = expectedAt(look, capacityLog, exposureLog);
    const lostFraction = Math.exp(Math.min(0, meanLog));
    const spreadLog = Math.hypot(EYE_SPREAD_LOG, STATE_SPREAD_FRACTION / lostFraction);
    const { rightFraction, wrongFraction } = lookChance(sight, { meanLog, spreadLog });
    const chance = chances[point++] ?? 0;
    right += chance * rightFraction;
    all += chance * (rightFraction + wrongFraction);
    return Math.log(rightFraction + wrongFraction);
  });
  return { after, trustFraction: right / all };
}

/** Bounds of the two factors: a look shortens times to dry, or leaves them, and never lengthens them. */
export const LOWEST_CAPACITY_FACTOR = 0.5;
export const HIGHEST_EXPOSURE_FACTOR = 2;

/** What is thought of the two factors before any look: standard deviations of their logs. */
interface FactorPrior {
  capacitySpreadLog: number;
  exposureSpreadLog: number;
}

/** Logs of the weights of the grid's points, up to a constant: capacity by rows, exposure by columns. */
type FactorWeights = Float64Array;

/** A correction of a bed's store, at most 1, and of its loss, at least 1. */
interface Factors {
  capacityFraction: number;
  exposureFraction: number;
}

/** Points along each log: steps of 6 %, finer than ten looks can tell. */
const POINTS = 13;
const logs = (mostLog: number) =>
  Float64Array.from({ length: POINTS }, (_, index) => (mostLog * index) / (POINTS - 1));
const CAPACITY_LOG = logs(Math.log(LOWEST_CAPACITY_FACTOR));
const EXPOSURE_LOG = logs(Math.log(HIGHEST_EXPOSURE_FACTOR));

/** The weights before any look: normal logs around no correction, cut off at the bounds. */
export function priorWeights(beginning: FactorPrior): FactorWeights {
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
export function withNewCapacity(weights: FactorWeights, beginning: FactorPrior): FactorWeights {
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
export function probabilitiesOf(weights: FactorWeights): Float64Array {
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
