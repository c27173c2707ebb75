import { type Judged, judgedLook, type Sight } from './doubtful-look.ts';

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

/** What a bed's looks have taught: two factors on what is planned with, and how sure they are. */
export interface Learned {
  capacityFraction: number;
  exposureFraction: number;
  /** Standard deviation of the log of each factor. */
  capacitySpreadLog: number;
  exposureSpreadLog: number;
  /** Looks that taught something, and those that did not fit and were set aside. */
  looks: number;
  setAside: number;
}

/** One look's own doing: the factors before and after it, and how far it was believed. */
export interface LookStep {
  before: Learned;
  after: Learned;
  trustFraction: number;
  /** True when it fits so badly that it is more likely wrong than right. */
  isSetAside: boolean;
}

/** What is thought of the factors before any look. */
export interface Beginning {
  capacitySpreadLog: number;
  exposureSpreadLog: number;
}

/** Of an assumed sand less is known than of a reported or stated one. */
export const ASSUMED_SAND: Beginning = { capacitySpreadLog: 0.4, exposureSpreadLog: 0.3 };
export const KNOWN_SAND: Beginning = { capacitySpreadLog: 0.25, exposureSpreadLog: 0.3 };

/** Bounds of both factors. */
export const LEAST_FRACTION = 0.5;
export const MOST_FRACTION = 2;

/** The eye's own blur, in the log of the lost part. */
const EYE_SPREAD_LOG = 0.12;
/** Error of the store's state (dose, rain, start), as a part of what a full one holds. */
const STATE_SPREAD_FRACTION = 0.1;
/** The factors may wander: dust on the sand, thatch, a hedge in leaf. A day's standard deviation. */
const WANDER_PER_DAY_LOG = 0.02;
const DAY_MS = 24 * 3_600_000;

/** Mean and covariance of the logs of capacity (c) and exposure (e). */
interface Estimate {
  c: number;
  e: number;
  cc: number;
  ce: number;
  ee: number;
}

/**
 * A bed's capacity and exposure factors from its looks.
 *
 * An extended Kalman filter over the logs of the two factors, which wander slowly. The error of the
 * store's state at a look counts as noise, because looks hours apart have mostly been watered in
 * between. The surface is an ordinal observation: it cuts the expectation to a band, with the first
 * two moments kept. A look may be wrong (see `judgedLook`). Both factors stay within 0.5 to 2.
 *
 * Looks that came before a change of the managed depth teach only the exposure.
 *
 * @param looks in order of time
 * @param managedDepthMm depth that is planned for now
 * Source: Kalman 1960, J. Basic Eng. 82:35-45; the extended filter after Gelb 1974, Applied Optimal
 * Estimation, table 6.1-1; parameters by prediction errors after Ljung & Söderström 1983, Theory and
 * Practice of Recursive Identification, ch. 3 (all from memory).
 */
export function learnBed(
  looks: readonly ExpectedLook[],
  asked: { beginning: Beginning; managedDepthMm: number },
): { learned: Learned; steps: LookStep[] } {
  const { beginning } = asked;
  let now: Estimate = {
    c: 0,
    e: 0,
    cc: beginning.capacitySpreadLog ** 2,
    ce: 0,
    ee: beginning.exposureSpreadLog ** 2,
  };
  let depthMm = looks[0]?.managedDepthMm ?? asked.managedDepthMm;
  let beforeMs = looks[0]?.atMs ?? 0;
  let setAside = 0;
  const steps: LookStep[] = [];
  const toDepth = (nextMm: number) => {
    if (nextMm === depthMm) return;
    depthMm = nextMm;
    now = { ...now, c: 0, cc: beginning.capacitySpreadLog ** 2, ce: 0 };
  };
  for (const look of looks) {
    toDepth(look.managedDepthMm);
    now = wandered(now, Math.max(0, look.atMs - beforeMs) / DAY_MS);
    beforeMs = look.atMs;
    const before = told(now, { looks: steps.length, setAside });
    const { after, trustFraction } = withLook(now, look);
    const isSetAside = trustFraction < 0.5;
    if (isSetAside) setAside++;
    now = after;
    steps.push({
      before,
      after: told(now, { looks: steps.length + 1, setAside }),
      trustFraction,
      isSetAside,
    });
  }
  toDepth(asked.managedDepthMm);
  return { learned: told(now, { looks: looks.length, setAside }), steps };
}

/** The factors after one look. */
function withLook(
  { c, e, cc, ce, ee }: Estimate,
  look: ExpectedLook,
): { after: Estimate; trustFraction: number } {
  const { byCapacityCoefficient: hc, byExposureCoefficient: he } = look;
  const meanLog =
    look.lostLog +
    hc * (c - Math.log(look.capacityFraction)) +
    he * (e - Math.log(look.exposureFraction));
  const lostFraction = Math.exp(Math.min(0, meanLog));
  const noise = EYE_SPREAD_LOG ** 2 + (STATE_SPREAD_FRACTION / lostFraction) ** 2;
  // Covariance of each factor with what is seen, and the spread of that.
  const pc = cc * hc + ce * he;
  const pe = ce * hc + ee * he;
  const variance = hc * pc + he * pe + noise;
  const judged: Judged = judgedLook({ meanLog, spreadLog: Math.sqrt(variance) }, look.sight);
  const shift = (judged.meanLog - meanLog) / variance;
  const shrink = (judged.spreadLog ** 2 - variance) / variance ** 2;
  return {
    after: {
      c: bounded(c + pc * shift),
      e: bounded(e + pe * shift),
      cc: cc + pc * pc * shrink,
      ce: ce + pc * pe * shrink,
      ee: ee + pe * pe * shrink,
    },
    trustFraction: judged.trustFraction,
  };
}

function wandered(now: Estimate, days: number): Estimate {
  const variance = WANDER_PER_DAY_LOG ** 2 * days;
  return { ...now, cc: now.cc + variance, ee: now.ee + variance };
}

function told({ c, e, cc, ee }: Estimate, counts: { looks: number; setAside: number }): Learned {
  return {
    capacityFraction: Math.exp(c),
    exposureFraction: Math.exp(e),
    capacitySpreadLog: Math.sqrt(cc),
    exposureSpreadLog: Math.sqrt(ee),
    ...counts,
  };
}

function bounded(log: number): number {
  return Math.min(Math.log(MOST_FRACTION), Math.max(Math.log(LEAST_FRACTION), log));
}
