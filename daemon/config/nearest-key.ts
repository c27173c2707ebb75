import { closest, distance } from 'fastest-levenshtein';

const MOST_KNOWN = 500;
const MOST_LETTERS = 80;

/**
 * The known word that a mistyped one most likely stands for, or null when none is near: a third of
 * its letters may differ. Two letters swapped count as two, so words of four letters may differ in
 * two; words of one or two letters are never guessed at, nor long ones, nor among very many.
 */
export function nearestKey(word: string, known: readonly string[]): string | null {
  if (known.length === 0 || known.length > MOST_KNOWN || word.length > MOST_LETTERS) return null;
  const plain = (text: string) => text.toLowerCase().replace(/[-\s]/g, '_');
  const candidate = closest(plain(word), known.map(plain));
  const length = Math.max(word.length, candidate.length);
  const most = length < 3 ? 0 : length === 3 ? 1 : Math.max(2, Math.floor(length / 3));
  if (distance(plain(word), candidate) > most) return null;
  return known.find((key) => plain(key) === candidate) ?? null;
}
