import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import type { Arrow } from './arrows-back.ts';

const ROOT = resolve(import.meta.dirname, '../..');

/** The text of every file of the floors, by its path from the root. */
export function sourceTexts(): Map<string, string> {
  const names = ['calc', 'adapters', 'daemon'].flatMap((floor) =>
    readdirSync(join(ROOT, floor), { recursive: true, encoding: 'utf8' })
      .map((name) => join(floor, name))
      .filter((name) => /\.tsx?$/.test(name) && !name.endsWith('.d.ts')),
  );
  return new Map(names.map((name) => [name, readFileSync(join(ROOT, name), 'utf8')]));
}

/** Files that a file imports, of those that are given. */
export function importsOf(name: string, texts: ReadonlyMap<string, string>): string[] {
  return [...(texts.get(name) ?? '').matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)]
    .map(([, path = '']) => relative(ROOT, resolve(ROOT, dirname(name), path)))
    .filter((path) => texts.has(path));
}

/** Which room of the daemon imports from which: a room is a folder right below it. */
export function roomArrows(texts: ReadonlyMap<string, string>): Arrow[] {
  const roomOf = (name: string) => {
    const [floor, room, ...below] = name.split(/[\\/]/);
    return floor === 'daemon' && below.length > 0 ? (room ?? null) : null;
  };
  return [...texts.keys()].flatMap((name) =>
    importsOf(name, texts).flatMap((used): Arrow[] => {
      const [from, to] = [roomOf(name), roomOf(used)];
      return from === null || to === null || from === to ? [] : [{ from, to }];
    }),
  );
}
