import { stateOfAll } from '../futures/sand-members.ts';
import { USABLE_FRACTION } from '../sand/seedbed-dynamics.ts';
import type { SeedbedModel } from '../sand/seedbed-model.ts';
import type { StoreState } from '../sand/seedbed-store.ts';
import { type BedAtLook, leftFraction, marginOf, momentsOfMembers } from './expected-look.ts';

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

/** Part of all looks that may be wrong: the wrong bed, wet shoes, low sun. */
export const DOUBT_FRACTION = 0.2;
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
  probe: SeenByProbe | null;
}

/** What a probe says of a store. */
export interface SeenByProbe {
  /** Part of the store that is left by the reading. */
  leftFraction: number;
  /** The same in each member's own sand, in the library's order; left out: as of all of them. */
  readFractions?: readonly number[];
  /** Its weight against what was expected. */
  weightFraction: number;
}

const HALVINGS = 24;
const LEAST_DEMAND_MM_PER_H = 0.1;

/**
 * A store's state after a look: lowered as far as any eye may have meant, raised no further than every
 * eye is sure of. Water that is not there dries seed; water given once too often does not.
 *
 * A dry surface is dry, and a lightening one may be on the point of it: both are taken for dry. A
 * dark one, or a puddle, holds at least what the lowest eye calls dark. A probe, one spot of the bed,
 * draws the expectation down towards its reading by its weight, and never up; the eye comes after it.
 * Of a bed whose sand may be any of several, each one's own state is set right.
 *
 * @param moment the bed as it was expected at the look
 */
export function correctedState(moment: BedAtLook, seen: SeenStore): StoreState {
  const all = momentsOfMembers(moment);
  if (all === null) return correctedMember(moment, seen);
  const states = all.moments.map((one, index) => {
    const { surface, probe } = seen;
    const read = probe?.readFractions?.[index];
    if (probe === null || read === undefined) return correctedMember(one, seen);
    return correctedMember(one, { surface, probe: { ...probe, leftFraction: read } });
  });
  const isAsBefore = states.every((state, index) => state === all.moments[index]?.state);
  return isAsBefore ? moment.state : stateOfAll(all.members, states);
}

function correctedMember(moment: BedAtLook, seen: SeenStore): StoreState {
  let now = moment;
  if (seen.probe !== null) {
    const expected = leftFraction(now);
    const { leftFraction: read, weightFraction } = seen.probe;
    const drawn = expected + weightFraction * Math.min(0, read - expected);
    now = { ...now, state: withLeft(now, expected, drawn) };
  }
  const band = seen.surface === null ? null : bandOf(seen.surface);
  if (band === null) return now.state;
  const mostFraction = seen.surface === 'lightening' ? 0 : band.upperFraction;
  const left = leftFraction(now);
  return withLeft(now, left, Math.min(mostFraction, Math.max(band.lowerFraction, left)));
}

/** The state between this one, with its part left, and full or dry, at which another part is left. */
function withLeft(moment: BedAtLook, left: number, part: number): StoreState {
  const { store, state, demandMmPerH } = moment;
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
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
    const now = { ...moment, state: between(state, end, middle) };
    // Whether anything is left at all is soon told; how much is not.
    const isBelow = part === 0 ? marginOf(now) < 0 : leftFraction(now) < part;
    if (isBelow === isRise) near = middle;
    else far = middle;
  }
  return between(state, end, far);
}

function between(from: StoreState, to: StoreState, part: number): StoreState {
  return Object.fromEntries(
    Object.entries(from).map(([name, mm]) => [name, mm + ((to[name] ?? mm) - mm) * part]),
  );
}
