import type { BedProfile } from './bed-column.ts';
import type { VanGenuchten } from './hydraulic-properties.ts';
import {
  drawnSand,
  fitRetention,
  type SandReport,
  wettedCurve,
  withExponent,
} from './retention-curves.ts';
import type { SandClass } from './sand-classes.ts';

/**
 * A sand that may lie behind a class's name: the curve that a laboratory would report, and the one
 * that the bed follows.
 *
 * @param unit gives numbers from 0 to below 1
 */
export function drawnOfClass(
  { range, wettingCoefficient: [lower, upper] }: SandClass,
  unit: () => number,
): { reported: VanGenuchten; real: VanGenuchten } {
  const reported = drawnSand(range, unit);
  return { reported, real: wettedCurve(reported, lower + (upper - lower) * unit()) };
}

/**
 * The sands that may lie behind a laboratory's report, as far as a plan has to tell them apart.
 *
 * With a release curve (three points, the one at 30 cm counts) it is the fitted one; without one the
 * exponent is open, and its two bounds stand for the range. What rises over gravel is counted
 * no higher than on the curve that wetted sand follows: laboratory curves are drained ones.
 *
 * @param standIn the nearest class, for what the report cannot say
 */
export function possibleSands(
  { report, under }: { report: SandReport; under: BedProfile['under'] },
  standIn: SandClass,
): VanGenuchten[] {
  const { sand, fitted } = fitRetention(report, standIn.bed.sand);
  const isOverGravel = under === 'gravel';
  if (fitted.includes('n')) return isOverGravel ? [sand, wettedCurve(sand)] : [sand];
  const ends = [standIn.lowerN, standIn.upperN].map((n) => withExponent(sand, n));
  return isOverGravel ? ends.map((end) => wettedCurve(end)) : ends;
}
