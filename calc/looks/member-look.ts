import {
  DOUBT_FRACTION,
  LOWER_EYE_FRACTION,
  normalBelow,
  probeTrust,
  type Surface,
  UPPER_EYE_FRACTION,
} from './look-evidence.ts';

/** The surfaces that tell of the store, from wet to dry. */
export const TELLING_SURFACES = ['dark', 'lightening', 'dry'] as const;

export type TellingSurface = (typeof TELLING_SURFACES)[number];

/** What was seen of a bed, as the members of its sand library take it. */
export type MemberSight =
  | { kind: 'surface'; surface: TellingSurface }
  | {
      kind: 'reading';
      /** Part of the store that is left by the reading in each member's own sand, in the library's order. */
      readFractions: readonly number[];
      spreadFraction: number;
    };

/** A look at a bed, held against what each member of its sand library expected at that moment. */
export interface MemberLook {
  atMs: number;
  /** The person who looked: each eye has a threshold of its own. */
  who: string;
  sight: MemberSight;
  /**
   * Part of its store that each member expected to be left, in the library's order; 0 or less: dry.
   * Followed from weather and water alone: a state that an earlier look had corrected would count
   * that look twice.
   */
  leftFractions: readonly number[];
  /** Depth that the stage manages: what was learned of one depth's store says little of another's. */
  managedDepthMm: number;
}

/**
 * The surface as a sight. Null where it teaches nothing: a puddle tells of the lowest spot and times
 * to dry hang on the driest, a wash tells of a flow that may be hours ago.
 */
export function surfaceSight(surface: Surface): MemberSight | null {
  return surface === 'puddle' || surface === 'wash' ? null : { kind: 'surface', surface };
}

/**
 * A probe's reading as a sight.
 *
 * The same content is another part of another sand's store. How wide each store is in contents is
 * left out of the likelihood, so that no sand is preferred for a store that is small in contents.
 *
 * @param readFractions what `probePart` makes of the reading with each member's own model
 */
export function readingSight(
  readFractions: readonly number[],
  beforeEmergence: boolean,
): MemberSight {
  return {
    kind: 'reading',
    readFractions,
    spreadFraction: probeTrust(beforeEmergence).spreadFraction,
  };
}

const EYE_STEPS = 6;

/** Thresholds that a person's eye may have: the part of the store below which it calls a surface lightening. */
export const EYE_FRACTIONS: readonly number[] = Array.from(
  { length: EYE_STEPS + 1 },
  (_, step) => LOWER_EYE_FRACTION + ((UPPER_EYE_FRACTION - LOWER_EYE_FRACTION) * step) / EYE_STEPS,
);

/** An eye of which nothing is known: each threshold is as likely. An assumption of this project. */
export const UNKNOWN_EYE: readonly number[] = EYE_FRACTIONS.map(() => 1 / EYE_FRACTIONS.length);

/** How likely a sight is, as a right one and as a wrong one. */
export interface SightChance {
  rightFraction: number;
  wrongFraction: number;
}

/** The eye's own blur, as a part of what is lost: a third-lost store is placed better than a spent one. */
const EYE_SPREAD_FRACTION = 0.12;
/** Error of a followed state (dose, rain, start), as a part of what a full store holds. */
const STATE_SPREAD_FRACTION = 0.1;
/** Surfaces that a wrong look can name in place of the right one. */
const OTHER_SURFACES = TELLING_SURFACES.length - 1;
/** Width over which a wrong reading falls by chance: that of what `probePart` can give. */
const READING_WIDTH_FRACTION = 2;

/**
 * How likely a sight is where this part of the store was expected to be left, for each threshold of
 * the eye (`EYE_FRACTIONS`).
 *
 * A surface is ordinal. With x the part that is left in truth, normally spread around the expected
 * one, and t the eye's threshold: P(dark) = P(x > t), P(lightening) = P(0 < x <= t),
 * P(dry) = P(x <= 0). A share of looks is wrong (the wrong bed, wet shoes, low sun): then one of the
 * other surfaces is named, each as often, and a reading falls anywhere. So a look's likelihood is
 * bounded: no surface speaks more than 8 to 1, no reading more than 13 to 1.
 *
 * For each threshold "dark" is the likelier, and "dry" the less likely, the more was expected to be
 * left: the spread shrinks more slowly than the distance to the threshold.
 *
 * @param expected.readFraction what a reading says in this member's sand; none for a surface
 * @throws RangeError when a part is no number or the reading's spread is not above 0
 * Source: ordinal probit, McCullagh 1980, J. R. Stat. Soc. B 42:109-142; contaminated by wrong ones,
 * Tukey 1960, in Contributions to Probability and Statistics, 448-485 (both from memory). Spreads and
 * the share of wrong looks are assumptions of this project.
 */
export function chancesByEye(
  sight: MemberSight,
  expected: { leftFraction: number; readFraction?: number | undefined },
): SightChance[] {
  const { leftFraction, readFraction } = expected;
  if (sight.kind === 'reading') {
    const chance = chanceOfReading(sight.spreadFraction, leftFraction, readFraction);
    return EYE_FRACTIONS.map(() => chance);
  }
  const spreadFraction = spreadFractionAt(leftFraction);
  const dryFraction = normalBelow(-leftFraction / spreadFraction);
  return EYE_FRACTIONS.map((eyeFraction) => {
    const paleFraction = normalBelow((eyeFraction - leftFraction) / spreadFraction);
    return chanceOfSurface(sight.surface, paleFraction, dryFraction);
  });
}

function chanceOfSurface(
  surface: TellingSurface,
  paleFraction: number,
  dryFraction: number,
): SightChance {
  let rightOf = dryFraction;
  if (surface === 'dark') rightOf = 1 - paleFraction;
  if (surface === 'lightening') rightOf = paleFraction - dryFraction;
  return {
    rightFraction: (1 - DOUBT_FRACTION) * rightOf,
    wrongFraction: (DOUBT_FRACTION / OTHER_SURFACES) * (1 - rightOf),
  };
}

/** Spread of what is left in truth around what was expected, the eye's blur included. */
function spreadFractionAt(leftFraction: number): number {
  if (!Number.isFinite(leftFraction)) {
    throw new RangeError(
      `leftFraction: the part left must be a number (got ${leftFraction}); follow every member`,
    );
  }
  const eyeFraction = EYE_SPREAD_FRACTION * Math.max(0, 1 - leftFraction);
  // Not Math.hypot, which is many times slower.
  return Math.sqrt(eyeFraction * eyeFraction + STATE_SPREAD_FRACTION * STATE_SPREAD_FRACTION);
}

function chanceOfReading(
  ownFraction: number,
  leftFraction: number,
  readFraction: number | undefined,
): SightChance {
  const isSpread = ownFraction > 0 && Number.isFinite(leftFraction);
  if (!isSpread || readFraction === undefined || !Number.isFinite(readFraction)) {
    throw new RangeError(
      `chancesByEye: a reading needs the parts expected and read in this sand and a spread above 0 (got ${leftFraction}, ${readFraction}, ${ownFraction})`,
    );
  }
  const spread = Math.hypot(ownFraction, STATE_SPREAD_FRACTION);
  const z = (readFraction - leftFraction) / spread;
  const density = Math.exp(-0.5 * z * z) / (spread * Math.sqrt(2 * Math.PI));
  return {
    rightFraction: (1 - DOUBT_FRACTION) * density,
    wrongFraction: DOUBT_FRACTION / READING_WIDTH_FRACTION,
  };
}

/** The part that a reading says is left in a member's sand; none for a surface. */
export function readOf(
  { sight, leftFractions }: ExpectedSight,
  member: number,
): number | undefined {
  if (sight.kind === 'surface') return undefined;
  if (sight.readFractions.length !== leftFractions.length) {
    throw new RangeError(
      `readFractions: a reading needs one part for each member (got ${sight.readFractions.length} for ${leftFractions.length})`,
    );
  }
  return sight.readFractions[member];
}

/** What a look saw, and what each member expected. */
export type ExpectedSight = Pick<MemberLook, 'sight' | 'leftFractions'>;

/** How likely a sight is for each member, by an eye with these weights of the thresholds. */
export function chancesByMember(look: ExpectedSight, eye: readonly number[]): SightChance[] {
  const { sight, leftFractions } = look;
  return leftFractions.map((leftFraction, member) => {
    if (sight.kind === 'surface') return chanceSeen(sight.surface, leftFraction, eye);
    const readFraction = readOf(look, member);
    return chanceOfReading(sight.spreadFraction, leftFraction, readFraction);
  });
}

/** How likely a surface is to be named by an eye with these weights of the thresholds. */
function chanceSeen(
  surface: TellingSurface,
  leftFraction: number,
  eye: readonly number[],
): SightChance {
  const spreadFraction = spreadFractionAt(leftFraction);
  const dryFraction = normalBelow(-leftFraction / spreadFraction);
  return chanceOfSurface(surface, paleBy(eye, leftFraction, spreadFraction), dryFraction);
}

/** Chance that less is left in truth than the eye's threshold. */
function paleBy(eye: readonly number[], leftFraction: number, spreadFraction: number): number {
  let paleFraction = 0;
  for (let index = 0; index < EYE_FRACTIONS.length; index++) {
    const z = ((EYE_FRACTIONS[index] ?? 0) - leftFraction) / spreadFraction;
    paleFraction += (eye[index] ?? 0) * normalBelow(z);
  }
  return paleFraction;
}

/** How likely each surface is to be named, rightly or wrongly, by such an eye. */
export function chancesOfSurfaces(
  leftFraction: number,
  eye: readonly number[],
): Record<TellingSurface, number> {
  const spreadFraction = spreadFractionAt(leftFraction);
  const dryFraction = normalBelow(-leftFraction / spreadFraction);
  const paleFraction = paleBy(eye, leftFraction, spreadFraction);
  const of = (surface: TellingSurface) =>
    chanceOf(chanceOfSurface(surface, paleFraction, dryFraction));
  return { dark: of('dark'), lightening: of('lightening'), dry: of('dry') };
}

/** Chance of a sight, right or wrong. */
export function chanceOf({ rightFraction, wrongFraction }: SightChance): number {
  return rightFraction + wrongFraction;
}
