import { USABLE_FRACTION } from '../sand/seedbed-dynamics.ts';
import type { SeedbedModel } from '../sand/seedbed-model.ts';
import type { StoreState } from '../sand/seedbed-store.ts';
import { type BedAtLook, leftFraction, lostLogOf } from './expected-look.ts';

/** What the colour of the surface can tell. */
export const SURFACES = ['dark', 'lightening', 'dry', 'puddle', 'wash'] as const;

export type Surface = (typeof SURFACES)[number];

/**
 * Part of the store at which a surface is first called lightening: eyes, light and sands differ, so a
 * look proves no more than holds for all of them. An assumption of this project.
 */
export const LOWER_EYE_FRACTION = 0.15;
export const UPPER_EYE_FRACTION = 0.45;

/** A stretch of the store that a look places a bed in, as parts of what a full one holds. */
interface StoreBand {
  lowerFraction: number;
  upperFraction: number;
}

const BANDS: Readonly<Record<Surface, StoreBand | null>> = {
  dark: { lowerFraction: LOWER_EYE_FRACTION, upperFraction: Number.POSITIVE_INFINITY },
  lightening: { lowerFraction: 0, upperFraction: UPPER_EYE_FRACTION },
  dry: { lowerFraction: Number.NEGATIVE_INFINITY, upperFraction: 0 },
  // Water stands in the lowest spot: of the driest one it says what a dark surface says.
  puddle: { lowerFraction: LOWER_EYE_FRACTION, upperFraction: Number.POSITIVE_INFINITY },
  // A wash tells of a flow over the surface, perhaps hours ago: nothing of the store.
  wash: null,
};

/**
 * What the colour of the surface proves of the store, whoever looked: a band and no number. Bands
 * overlap, since what one eye calls lightening is dark to another. Null where it proves nothing.
 */
function bandOf(surface: Surface): StoreBand | null {
  return BANDS[surface];
}

/**
 * The surface as the estimator takes it: a band of the log of the lost part. Null where it teaches
 * nothing: a puddle tells of the lowest spot, and times to dry hang on the driest.
 */
export function sightOf(surface: Surface): Sight | null {
  const band = surface === 'puddle' ? null : bandOf(surface);
  if (band === null) return null;
  const { lowerFraction: leastFraction, upperFraction: mostFraction } = band;
  return {
    kind: 'band',
    leastLog: mostFraction > 1 ? Number.NEGATIVE_INFINITY : lostLogOf(mostFraction),
    mostLog: leastFraction < 0 ? Number.POSITIVE_INFINITY : lostLogOf(leastFraction),
  };
}

/** Spread of what a probe's reading says of the store, and its weight in the state of the moment. */
interface ProbeTrust {
  spreadFraction: number;
  weightFraction: number;
}

/** Before emergence the eye outranks the probe: its rods are longer than the seed layer is deep. */
const BEFORE_EMERGENCE: ProbeTrust = { spreadFraction: 0.6, weightFraction: 0.15 };
const AFTER_EMERGENCE: ProbeTrust = { spreadFraction: 0.25, weightFraction: 0.6 };

export function probeTrust(beforeEmergence: boolean): ProbeTrust {
  return beforeEmergence ? BEFORE_EMERGENCE : AFTER_EMERGENCE;
}

/**
 * Part of the store that is left by a probe's reading, by what the sand holds at that depth after a
 * night of draining and at its dry limit. Null beyond the sand's depth.
 *
 * @param input.contentFraction volume of water in a volume of sand, 0 to 1
 * @param input.depthMm depth of the reading
 * @param input.residualFraction what suction cannot take out of this sand
 * @param input.isRooted true where roots take from all of the layer
 * @throws RangeError when the content lies outside 0 to 1 or the depth is not above 0
 */
export function probePart(input: {
  model: SeedbedModel;
  contentFraction: number;
  depthMm: number;
  residualFraction: number;
  isRooted: boolean;
}): number | null {
  const { model, contentFraction, depthMm, residualFraction, isRooted } = input;
  if (!(contentFraction >= 0 && contentFraction <= 1 && depthMm > 0)) {
    throw new RangeError(
      `probePart: the content must lie from 0 to 1 and the depth above 0 mm (got ${contentFraction}, ${depthMm}); give volumes of water in volumes of sand`,
    );
  }
  const layers = [
    { layer: model.seed, held: model.drained.seedMm, dry: model.dry.seedMm },
    { layer: model.below, held: model.drained.belowMm, dry: model.dry.belowMm },
    { layer: model.root, held: model.drained.rootMm, dry: model.dry.rootMm },
  ];
  let bottomMm = 0;
  for (const { layer, held, dry } of layers) {
    bottomMm += layer.thicknessMm;
    if (depthMm > bottomMm) continue;
    const limitMm = isRooted ? (1 - USABLE_FRACTION) * held : dry;
    const readMm = (contentFraction - residualFraction) * layer.thicknessMm;
    const part = (readMm - limitMm) / Math.max(1e-9, held - limitMm);
    return Math.min(1.5, Math.max(-0.5, part));
  }
  return null;
}

/** The reading as the estimator takes it. */
export function probeSight(leftFraction: number, beforeEmergence: boolean): Sight {
  const lost = Math.max(0.2, 1 - leftFraction);
  return {
    kind: 'reading',
    meanLog: lostLogOf(leftFraction),
    spreadLog: probeTrust(beforeEmergence).spreadFraction / lost,
  };
}

/** What was seen: a band with its two ends, or a reading with its own spread. */
export type Sight =
  | { kind: 'band'; leastLog: number; mostLog: number }
  | { kind: 'reading'; meanLog: number; spreadLog: number };

/** How likely a look is, as a true one and as a wrong one. */
interface LookChance {
  rightFraction: number;
  wrongFraction: number;
}

/** Part of all looks that may be wrong: the wrong bed, wet shoes, low sun. */
export const DOUBT_FRACTION = 0.2;
/** Surfaces that a wrong look can name in place of the right one. */
const OTHER_KINDS = 2;
/** The scale over which a wrong reading falls by chance. */
const SCALE_LOG = 3;

/**
 * How likely a look is where this was expected of it.
 *
 * A look is ordinal: the chance of a band is that of the expectation, with its noise, within it. The
 * look may be wrong, with the chance of `DOUBT_FRACTION`: then one of the other surfaces is named, each
 * as often, and a reading falls anywhere. So no look can rule anything out, and one far from all that
 * is thought possible moves nothing: the guard against outliers is this mixture, and no threshold.
 *
 * @param expected mean and spread of the normally distributed quantity that the look is about
 * @throws RangeError when the spread is not above 0
 * Source: an interval-censored normal observation, Tobin 1958, Econometrica 26:24-36; contaminated
 * by wrong ones, Tukey 1960, in Contributions to Probability and Statistics, 448-485 (from memory).
 * @example expected 0 with spread 1, seen above 0, without doubt: 0.5
 */
export function lookChance(
  sight: Sight,
  expected: { meanLog: number; spreadLog: number },
  doubtFraction = DOUBT_FRACTION,
): LookChance {
  const { meanLog, spreadLog } = expected;
  if (!(spreadLog > 0)) {
    throw new RangeError(
      `lookChance: the spread must be above 0 (got ${spreadLog}); no eye is exact`,
    );
  }
  if (sight.kind === 'band') {
    const between =
      normalBelow((sight.mostLog - meanLog) / spreadLog) -
      normalBelow((sight.leastLog - meanLog) / spreadLog);
    const inside = Math.max(0, between);
    return {
      rightFraction: (1 - doubtFraction) * inside,
      wrongFraction: (doubtFraction / OTHER_KINDS) * (1 - inside),
    };
  }
  const spread = Math.hypot(spreadLog, sight.spreadLog);
  return {
    rightFraction:
      ((1 - doubtFraction) * normalDensity((sight.meanLog - meanLog) / spread)) / spread,
    wrongFraction: doubtFraction / SCALE_LOG,
  };
}

const SQRT_2PI = Math.sqrt(2 * Math.PI);

/** Density of the standard normal distribution. */
function normalDensity(x: number): number {
  return Math.exp(-0.5 * x * x) / SQRT_2PI;
}

/**
 * Standard normal distribution function, error below 7.5e-8 everywhere.
 *
 * Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, eq. 26.2.17, p. 932.
 * @example normalBelow(1) = 0.84134475 (the same book, Table 26.1)
 */
export function normalBelow(x: number): number {
  if (x === Number.POSITIVE_INFINITY) return 1;
  if (x === Number.NEGATIVE_INFINITY) return 0;
  const t = 1 / (1 + 0.2316419 * Math.abs(x));
  const power4 = -1.821255978 + t * 1.330274429;
  const power2 = -0.356563782 + t * (1.781477937 + t * power4);
  const tail = normalDensity(x) * t * (0.31938153 + t * power2);
  return x >= 0 ? 1 - tail : tail;
}

/** What was seen of a store, by eye or by probe. */
export interface SeenStore {
  surface: Surface | null;
  /** Part of the store that is left by the probe, and its weight against what was expected. */
  probe: { leftFraction: number; weightFraction: number } | null;
}

const HALVINGS = 30;
const LEAST_DEMAND_MM_PER_H = 0.1;

/**
 * A store's state after a look: lowered as far as any eye may have meant, raised no further than every
 * eye is sure of. Water that is not there dries seed; water given once too often does not.
 *
 * A dry surface is dry, and a lightening one may be on the point of it: both are taken for dry. A
 * dark one, or a puddle, holds at least what the lowest eye calls dark. A probe, one spot of the bed,
 * draws the expectation down towards its reading by its weight, and never up; the eye comes after it.
 *
 * @param moment the bed as it was expected at the look
 */
export function correctedState(moment: BedAtLook, seen: SeenStore): StoreState {
  let now = moment;
  if (seen.probe !== null) {
    const expected = leftFraction(now);
    const { leftFraction: read, weightFraction } = seen.probe;
    const drawn = expected + weightFraction * Math.min(0, read - expected);
    now = { ...now, state: withLeft(now, drawn) };
  }
  const band = seen.surface === null ? null : bandOf(seen.surface);
  if (band === null) return now.state;
  const mostFraction = seen.surface === 'lightening' ? 0 : band.upperFraction;
  return withLeft(now, Math.min(mostFraction, Math.max(band.lowerFraction, leftFraction(now))));
}

/** The state between this one and full, or dry, at which this part is left. */
function withLeft(moment: BedAtLook, part: number): StoreState {
  const { store, state, demandMmPerH } = moment;
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
  const left = leftFraction(moment);
  if (part === left) return state;
  const isRise = left < part;
  // No layer goes the other way: a dry bed whose sand below is drier yet gains nothing there.
  const goal = isRise ? store.full : store.driedThrough(demand);
  const further = isRise ? Math.max : Math.min;
  const end = Object.fromEntries(
    Object.entries(state).map(([name, mm]) => [name, further(mm, goal[name] ?? mm)]),
  );
  let [near, far] = [0, 1];
  for (let turn = 0; turn < HALVINGS; turn++) {
    const middle = (near + far) / 2;
    const now = leftFraction({ ...moment, state: between(state, end, middle) });
    if (now < part === isRise) near = middle;
    else far = middle;
  }
  return between(state, end, far);
}

function between(from: StoreState, to: StoreState, part: number): StoreState {
  return Object.fromEntries(
    Object.entries(from).map(([name, mm]) => [name, mm + ((to[name] ?? mm) - mm) * part]),
  );
}
