import { entryOf } from '../checked-entry.ts';
import type { VanGenuchten } from './hydraulic-properties.ts';
import {
  drawnSand,
  fitRetention,
  type Interval,
  type SandReport,
  withExponent,
} from './retention-curves.ts';
import type { SandClass } from './sand-classes.ts';
import { stratified } from './stratified.ts';

/**
 * What no laboratory reports of a sand: how many times alpha of wetting is that of drying (Kool &
 * Parker 1987, Water Resour. Res. 23:105-114: mostly 1.5 to 2; from memory), and what films carry (the
 * order of what Peters & Durner 2008 fitted; from memory).
 */
export const WETTING_ALPHA_FACTOR: Interval = [1, 2];
export const FILM_FRACTION: Interval = [1e-5, 1e-3];

function between([lower, upper]: Interval, part: number): number {
  return lower + (upper - lower) * part;
}

/** Between two numbers by their logarithm. */
function betweenLogs([lower, upper]: Interval, part: number): number {
  return lower * (upper / lower) ** part;
}

/**
 * A sand that may lie behind a class's name: the drained curve that a laboratory would report, and the
 * sand that the bed has, with its hysteresis and films.
 *
 * @param unit gives numbers from 0 to below 1; takes `DRAWN_NUMBERS` of them
 */
export function drawnOfClass(
  { range }: SandClass,
  unit: () => number,
): { reported: VanGenuchten; real: VanGenuchten } {
  const reported = drawnSand(range, unit);
  return {
    reported,
    real: {
      ...reported,
      wettingAlphaFactor: between(WETTING_ALPHA_FACTOR, unit()),
      filmFraction: betweenLogs(FILM_FRACTION, unit()),
    },
  };
}

/** Numbers that one sand of a class is drawn by. */
const DRAWN_NUMBERS = 7;

/**
 * So many sands of a class, spread evenly over what it may be.
 *
 * @param withinFraction where in its strata each lies, 0 to below 1: others give other sands as even
 */
export function spreadOfClass(
  sandClass: SandClass,
  count: number,
  withinFraction?: number,
): VanGenuchten[] {
  return stratified(count, DRAWN_NUMBERS, withinFraction).map((point) => {
    let next = 0;
    return drawnOfClass(sandClass, () => entryOf(point, next++)).real;
  });
}

/** Sands that stand for what a report leaves open. */
const POSSIBLE_SANDS = 6;
/**
 * Errors of a laboratory's measurement on cores that it packed itself, to either side (orders of size
 * from memory): of the saturated conductivity by a factor, of the water at 30 cm as a volume fraction,
 * and of an exponent that was fitted, in parts of n - 1.
 */
const CONDUCTIVITY_ERROR_FACTOR = 1.25;
const HELD_ERROR_FRACTION = 0.01;
const EXPONENT_ERROR_FRACTION = 0.08;

/**
 * The sands that may lie behind a laboratory's report, each as likely as the others, spread evenly over
 * what it leaves open: hysteresis, films, the errors of measurement, and without a release curve (three
 * points, the one at 30 cm counts) the exponent, anywhere in its plausible range. Alpha is moved so that
 * each sand holds at 30 cm what was reported, but for the error of that.
 *
 * @param standIn the nearest class, for what the report cannot say
 * @throws RangeError on a report that contradicts itself
 */
export function possibleSands(report: SandReport, standIn: SandClass): VanGenuchten[] {
  const { sand, fitted } = fitRetention(report, standIn.bed.sand);
  const errorN = (sand.n - 1) * EXPONENT_ERROR_FRACTION;
  const exponents: Interval = fitted.includes('n')
    ? [sand.n - errorN, sand.n + errorN]
    : [standIn.lowerN, standIn.upperN];
  return stratified(POSSIBLE_SANDS, 5).map((point) => {
    const [factorPart = 0.5, exponentPart = 0.5, filmPart = 0.5, heldPart = 0.5, ksPart = 0.5] =
      point;
    const n = between(exponents, exponentPart);
    const moreFraction = between([-HELD_ERROR_FRACTION, HELD_ERROR_FRACTION], heldPart);
    const errorFactor = betweenLogs(
      [1 / CONDUCTIVITY_ERROR_FACTOR, CONDUCTIVITY_ERROR_FACTOR],
      ksPart,
    );
    return {
      ...withExponent(sand, n, moreFraction),
      saturatedMmPerH: sand.saturatedMmPerH * errorFactor,
      wettingAlphaFactor: between(WETTING_ALPHA_FACTOR, factorPart),
      filmFraction: betweenLogs(FILM_FRACTION, filmPart),
    };
  });
}
