import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { StoredLook } from '../store/looks.ts';
import type { LearnedBed } from './learned-beds.ts';

/** Which beds of a plan rest on looks, and what these have changed. Pure. */
export function lookNotes(
  site: Site,
  looks: readonly StoredLook[],
  learnedOf: ReadonlyMap<string, LearnedBed>,
): PlanWarning[] {
  return site.beds.flatMap((bed): PlanWarning[] => {
    const own = learnedOf.get(bed.id);
    const seen = looks.filter((look) => look.bedId === bed.id && look.undoneMs === null);
    if (own === undefined || seen.length === 0) return [];
    if (!own.isTaught) {
      const sets = seen.some((look) => look.surface !== null || look.probeFraction !== null);
      if (!sets) return [];
      return [{ code: 'looks', bedId: bed.id, looks: seen.length, learned: null }];
    }
    if (own.learned.looks === 0) return [];
    const { capacityFraction, exposureFraction, setAside } = own.learned;
    const learned = { capacityFraction, exposureFraction, setAside };
    return [{ code: 'looks', bedId: bed.id, looks: seen.length, learned }];
  });
}
