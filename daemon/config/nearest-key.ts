import { closest, distance } from 'fastest-levenshtein';

/**
 * The known word that a mistyped one most likely stands for, or null when none is near: at most a
 * third of its letters may differ, and one always may.
 */
export function nearestKey(word: string, known: readonly string[]): string | null {
  if (known.length === 0) return null;
  const plain = (text: string) => text.toLowerCase().replace(/[-\s]/g, '_');
  const candidate = closest(plain(word), known.map(plain));
  const most = Math.max(1, Math.floor(Math.max(word.length, candidate.length) / 3));
  if (distance(plain(word), candidate) > most) return null;
  return known.find((key) => plain(key) === candidate) ?? null;
}
