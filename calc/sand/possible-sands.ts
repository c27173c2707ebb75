import type { BedProfile } from './bed-column.ts';
import type { VanGenuchten } from './retention.ts';
import { fitRetention, type SandReport } from './retention-fit.ts';
import type { SandClass } from './sand-classes.ts';
import { wettedCurve, withExponent } from './sand-range.ts';

/**
 * The sands that may lie behind a laboratory's report, as far as a plan has to tell them apart.
 *
 * With a release curve (three points, the one at 30 cm counts) it is the fitted one; without one the
 * exponent is open, and its least and greatest stand for the range. What rises over gravel is counted
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
  const ends = [standIn.leastN, standIn.greatestN].map((n) => withExponent(sand, n));
  return isOverGravel ? ends.map((end) => wettedCurve(end)) : ends;
}
