import type { z } from 'zod';
import { check, type Finding } from './issue-problems.ts';
import {
  type ConfigProblem,
  hideUserInfo,
  type KeyPath,
  nearestKey,
  type Place,
  shownValue,
} from './problems.ts';

/** One part of the config (a bed, a station, the supply), as far as it could be read. */
export interface Entry<T> {
  /** Its id as written, even when the rest is wrong; null when it has none. */
  id: string | null;
  /** Null when something in it is wrong. */
  value: T | null;
  /** What is wrong in it. */
  problems: ConfigProblem[];
  /** Makes a problem at a key inside it. */
  problem(path: KeyPath, message: string): ConfigProblem;
  /** Text at a key inside it, as it was typed; null: none stands there. */
  written(path: KeyPath): string | null;
}

/** Where an entry stands: the words for its path, and the places of its keys. */
interface EntryPlace {
  /** `stations`: the key that holds it. */
  list: string;
  /** Position in its list, from 0; null when it is not in a list. */
  index: number | null;
  placeOf(path: KeyPath): Place;
  placeOfKey(path: KeyPath): Place;
}

/** Reads one part of the config by its own, so that a fault elsewhere does not hide those here. */
export function readEntry<T>(schema: z.ZodType<T>, raw: unknown, at: EntryPlace): Entry<T> {
  const id = idOf(raw);
  const head = at.index === null ? at.list : `${at.list}[${shownId(raw, at.index)}]`;
  const toProblem = ({ path, message, onKey }: Finding): ConfigProblem => ({
    ...(onKey ? at.placeOfKey(path) : at.placeOf(path)),
    path: head + tailText(path, raw),
    // Checks between the parts quote ids as they were written.
    message: hideUserInfo(message),
  });
  const checked = check(schema, raw);
  return {
    id,
    value: checked.ok ? checked.value : null,
    problems: checked.ok ? [] : checked.findings.map(toProblem),
    problem: (path, message) => toProblem({ path, message, onKey: false }),
    written(path) {
      const value = path.reduce(partOf, raw);
      return typeof value === 'string' ? value : null;
    },
  };
}

/** The path in a person's words: list items by their id, or by their place in the list. */
export function pathText(path: KeyPath, raw: unknown): string {
  return tailText(path, raw).replace(/^\./, '');
}

function tailText(path: KeyPath, raw: unknown): string {
  let text = '';
  let value: unknown = raw;
  for (const key of path) {
    value = partOf(value, key);
    // A key can be anything that was typed, an address with a password too.
    text += typeof key === 'number' ? `[${shownId(value, key)}]` : `.${shownValue(key, [])}`;
  }
  return text;
}

function partOf(value: unknown, key: string | number): unknown {
  return typeof value === 'object' && value !== null ? Reflect.get(value, key) : undefined;
}

/** An item's id, or its place in the list. */
function shownId(raw: unknown, index: number): string {
  const id = idOf(raw);
  return id === null ? `#${index + 1}` : shownValue(id, []);
}

function idOf(raw: unknown): string | null {
  if (typeof raw !== 'object' || raw === null) return null;
  const id: unknown = Reflect.get(raw, 'id');
  return typeof id === 'string' && id !== '' ? id : null;
}

const MOST_NAMES_SHOWN = 12;

/** Ids as written, even of entries that are wrong otherwise. */
export function idsOf(entries: readonly Entry<unknown>[]): string[] {
  return [...new Set(entries.flatMap((entry) => (entry.id === null ? [] : [entry.id])))];
}

/** Ids used a second time. */
export function duplicateIds(entries: readonly Entry<unknown>[], what: string): ConfigProblem[] {
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
