import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { StoredLook } from '../store/looks.ts';
import { NOT_TAUGHT, sayLearned } from '../words/look-lines.ts';
import type { LearnedBed } from './learned-beds.ts';

/** Which beds of a plan rest on looks, and what these have changed. Pure. */
export function lookNotes(
  site: Site,
  looks: readonly StoredLook[],
  learned: ReadonlyMap<string, LearnedBed>,
): PlanWarning[] {
  return site.beds.flatMap((bed): PlanWarning[] => {
    const own = learned.get(bed.id);
    const seen = looks.filter((look) => look.bedId === bed.id && look.undoneMs === null);
    if (own === undefined || seen.length === 0) return [];
    const many = `${seen.length} ${seen.length === 1 ? 'look' : 'looks'}`;
    if (!own.isTaught) {
      const setting = seen.filter((look) => look.surface !== null || look.probeFraction !== null);
      if (setting.length === 0) return [];
      return [
        { code: 'looks', bedId: bed.id, text: `${bed.name} rests on ${many}. ${NOT_TAUGHT}` },
      ];
    }
    if (own.learned.looks === 0) return [];
    return [
      {
        code: 'looks',
        bedId: bed.id,
        text: `${bed.name} rests on ${many}: ${sayLearned(own.learned)}.`,
      },
    ];
  });
}
