import { normalBelow, normalDensity } from './normal.ts';

/** What was seen: a band with its two ends, or a reading with its own spread. */
export type Sight =
  | { kind: 'band'; leastLog: number; mostLog: number }
  | { kind: 'reading'; meanLog: number; spreadLog: number };

/** How likely a look is, as a true one and as a wrong one. */
export interface LookChance {
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
