import { harmless } from '../words/text-columns.ts';
import type { Key } from './read-keys.ts';

/** Longest text of a field, letters; acts have their own limits below it. */
const MOST_LETTERS = 200;

/** A field's text after a key, or null when the key types nothing. */
export function typeText(text: string, key: Key): string | null {
  if (key.name === 'backspace') return [...text].slice(0, -1).join('');
  const more = key.name === 'letter' ? key.letter : key.name === 'pasted' ? key.text : null;
  if (more === null) return null;
  return [...(text + harmless(more))].slice(0, MOST_LETTERS).join('');
}
