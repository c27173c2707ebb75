import { normalBelow, normalDensity } from './normal.ts';

/** A normally distributed guess of a quantity without a unit. */
export interface Guess {
  meanLog: number;
  /** Standard deviation. */
  spreadLog: number;
}

/** What was seen: a band with its two ends, or a reading with its own spread. */
export type Sight =
  | { kind: 'band'; leastLog: number; mostLog: number }
  | { kind: 'reading'; meanLog: number; spreadLog: number };

/** A guess after a look, and how far the look was believed. */
export interface Judged extends Guess {
  /** Chance that the look tells of this quantity at all, by what was expected of it. */
  trustFraction: number;
}

/** Part of all looks that may be wrong: the wrong bed, wet shoes, low sun. */
export const DOUBT_FRACTION = 0.2;
/** Kinds of surface that a wrong look falls on by chance. */
const KINDS = 3;
/** A wrong reading falls anywhere on a scale as long as this. */
const SCALE_LOG = 3;

/**
 * A guess corrected by a look that may be wrong.
 *
 * The look is true with the chance of 1 less `DOUBT_FRACTION` and then cuts the guess to its band
 * (or weighs a reading in); otherwise it says nothing. What comes out is the mean and the spread of
 * the two cases mixed. So a look far from what was expected moves the guess little: the guard
 * against outliers is the mixture itself, and no threshold.
 *
 * @param guess what is expected of the look, its noise included
 * Source: moments of the truncated normal, Johnson, Kotz & Balakrishnan 1994, Continuous Univariate
 * Distributions 1, sec. 13.10.1; of a contaminated one, Masreliez & Martin 1977, IEEE Trans. Autom.
 * Control 22:361-371 (both from memory).
 * @example a guess of 0 with a spread of 1, seen above 0, without doubt: mean sqrt(2/pi) = 0.7979
 */
export function judgedLook(guess: Guess, sight: Sight, doubtFraction = DOUBT_FRACTION): Judged {
  const seen = sight.kind === 'band' ? cut(guess, sight) : weighed(guess, sight);
  const wrong = doubtFraction * seen.byChance;
  const right = (1 - doubtFraction) * seen.likelihood;
  const trustFraction = right + wrong > 0 ? right / (right + wrong) : 0;
  const { meanLog: m0, spreadLog: s0 } = guess;
  if (trustFraction === 0) return { meanLog: m0, spreadLog: s0, trustFraction };
  const meanLog = trustFraction * seen.meanLog + (1 - trustFraction) * m0;
  const variance =
    trustFraction * (seen.variance + (seen.meanLog - meanLog) ** 2) +
    (1 - trustFraction) * (s0 * s0 + (m0 - meanLog) ** 2);
  return { meanLog, spreadLog: Math.sqrt(variance), trustFraction };
}

interface Seen {
  likelihood: number;
  byChance: number;
  meanLog: number;
  variance: number;
}

function cut(guess: Guess, band: { leastLog: number; mostLog: number }): Seen {
  const { meanLog, spreadLog } = guess;
  const a = (band.leastLog - meanLog) / spreadLog;
  const b = (band.mostLog - meanLog) / spreadLog;
  const inside = normalBelow(b) - normalBelow(a);
  // Beyond this the distribution function is all rounding; the look is then nothing but chance.
  if (inside < 1e-6) return { likelihood: 0, byChance: 1 / KINDS, meanLog, variance: 0 };
  const [atA, atB] = [normalDensity(a), normalDensity(b)];
  const shift = (atA - atB) / inside;
  const edges = (Number.isFinite(a) ? a * atA : 0) - (Number.isFinite(b) ? b * atB : 0);
  const variance = spreadLog ** 2 * Math.max(0, 1 + edges / inside - shift ** 2);
  return {
    likelihood: inside,
    byChance: 1 / KINDS,
    meanLog: meanLog + spreadLog * shift,
    variance,
  };
}

function weighed(guess: Guess, reading: Guess): Seen {
  const s = Math.hypot(guess.spreadLog, reading.spreadLog);
  const gap = reading.meanLog - guess.meanLog;
  const gain = guess.spreadLog ** 2 / s ** 2;
  return {
    likelihood: normalDensity(gap / s) / s,
    byChance: 1 / SCALE_LOG,
    meanLog: guess.meanLog + gain * gap,
    variance: guess.spreadLog ** 2 * (1 - gain),
  };
}
