import type { KeyPath } from './problems.ts';

/** Bounds of a value that somebody wrote: far above any that is meant. */
export interface Bounds {
  /** Keys of one map. */
  mostKeys: number;
  /** Entries of one list. */
  mostEntries: number;
  /** Maps and lists inside one another. */
  mostDeep: number;
  /** Values in all. */
  mostValues: number;
  /** Letters of one text. */
  mostLetters: number;
}

/** What a config may hold: hundreds of stations with catch cans, thousands without. */
export const CONFIG_BOUNDS: Bounds = {
  mostKeys: 500,
  mostEntries: 20_000,
  mostDeep: 30,
  mostValues: 500_000,
  mostLetters: 4_000,
};

/** What a request to the page may hold. */
export const REQUEST_BOUNDS: Bounds = {
  mostKeys: 200,
  mostEntries: 5_000,
  mostDeep: 20,
  mostValues: 50_000,
  mostLetters: 130_000,
};

/**
 * The first place at which a value is more than can be meant, with what to do; null: nothing is. What is
 * too much is looked at no further, so that no check of the rest takes longer than a person waits.
 */
export function tooMuch(value: unknown, bounds: Bounds): { path: KeyPath; message: string } | null {
  const ahead: { value: unknown; path: KeyPath }[] = [{ value, path: [] }];
  let values = 0;
  for (let one = ahead.pop(); one !== undefined; one = ahead.pop()) {
    const { path } = one;
    const refuse = (what: string, got: string, most: string) => ({
      path,
      message: `${what} (got ${got}); keep to ${most} at most`,
    });
    values += 1;
    if (values > bounds.mostValues) {
      const most = `${bounds.mostValues} values`;
      return { ...refuse('holds too much', 'more', most), path: [] };
    }
    if (typeof one.value === 'string' && one.value.length > bounds.mostLetters) {
      const got = `${one.value.length} letters`;
      return refuse('is too long', got, `${bounds.mostLetters} letters`);
    }
    if (typeof one.value !== 'object' || one.value === null) continue;
    if (path.length >= bounds.mostDeep) {
      return refuse('lies too deep', 'one more inside', `${bounds.mostDeep} inside one another`);
    }
    const isList = Array.isArray(one.value);
    const parts = Object.entries(one.value);
    const [what, most] = isList ? ['entries', bounds.mostEntries] : ['keys', bounds.mostKeys];
    if (parts.length > most) {
      return refuse(`has too many ${what}`, `${parts.length}`, `${most} ${what}`);
    }
    // Turned round, since what was put there last is looked at first.
    for (const [key, part] of parts.reverse()) {
      ahead.push({ value: part, path: [...path, isList ? Number(key) : key] });
    }
  }
  return null;
}
