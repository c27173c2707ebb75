import type { Entry } from './entry.ts';
import { nearestKey } from './nearest-key.ts';
import type { ConfigProblem } from './problems.ts';

const MOST_NAMES_SHOWN = 12;

/** Ids as written, even of entries that are wrong otherwise. */
export function idsOf(entries: readonly Entry<unknown>[]): string[] {
  return [...new Set(entries.flatMap((entry) => (entry.id === null ? [] : [entry.id])))];
}

/** Ids used a second time. */
export function twins(entries: readonly Entry<unknown>[], what: string): ConfigProblem[] {
  const seen = new Set<string>();
  return entries.flatMap((entry) => {
    if (entry.id === null) return [];
    if (seen.has(entry.id)) {
      const message = `is used twice (got ${entry.id}); give each ${what} an id of its own`;
      return [entry.problem(['id'], message)];
    }
    seen.add(entry.id);
    return [];
  });
}

/** Text for a name that leads nowhere. */
export function unknownName(what: string, got: string, known: readonly string[]): string {
  const meant = nearestKey(got, known);
  const shown = known.slice(0, MOST_NAMES_SHOWN).join(', ');
  const more = known.length > MOST_NAMES_SHOWN ? ', and more' : '';
  const list = known.length > 0 ? `there are ${shown}${more}` : `describe the ${what} first`;
  const advice = meant ? `did you mean ${meant}? There are ${shown}${more}` : list;
  return `names a ${what} that is not there (got ${got}); ${advice}`;
}
