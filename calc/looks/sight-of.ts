import type { Sight } from './doubtful-look.ts';
import { lostLogOf } from './expect-look.ts';
import { bandOf, type Surface } from './seen.ts';

/**
 * The surface as the estimator takes it: a band of the log of the lost part. Null where it teaches
 * nothing: a puddle tells of the lowest spot, and times to dry hang on the driest.
 */
export function sightOf(surface: Surface): Sight | null {
  const band = surface === 'puddle' ? null : bandOf(surface);
  if (band === null) return null;
  const { leastFraction, mostFraction } = band;
  return {
    kind: 'band',
    leastLog: mostFraction > 1 ? Number.NEGATIVE_INFINITY : lostLogOf(mostFraction),
    mostLog: leastFraction < 0 ? Number.POSITIVE_INFINITY : lostLogOf(leastFraction),
  };
}
