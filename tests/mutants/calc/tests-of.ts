import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';

/** The files that each file imports for more than a type, named from the root. */
export type Imports = ReadonlyMap<string, readonly string[]>;

/** Reads what calc, its tests and all that they use import. */
export function readImports(root: string): Imports {
  const imports = new Map<string, readonly string[]>();
  for (const room of ['calc', 'adapters', 'daemon', 'tests']) {
    for (const name of readdirSync(join(root, room), { recursive: true, encoding: 'utf8' })) {
      if (!name.endsWith('.ts')) continue;
      const path = join(root, room, name);
      const text = readFileSync(path, 'utf8').replaceAll(/^import type [^;]*;/gm, '');
      const found = [...text.matchAll(/\bfrom '(\.[^']+)'/g)].map((match) =>
        relative(root, resolve(dirname(path), match[1] ?? '')),
      );
      imports.set(join(room, name), found);
    }
  }
  return imports;
}

/**
 * The tests of calc that can notice a change of a file, in the order to run them: its own (the one of
 * its name, and those that import it), then the others that reach it, quick ones first. Of the others
 * so many as take the time that is given, so that what lives may be noticed by more.
 *
 * @param tookMs how long each test usually takes
 * @param othersMs time for those that are not the file's own
 */
export function testsOf(
  file: string,
  imports: Imports,
  { tookMs, othersMs }: { tookMs: ReadonlyMap<string, number>; othersMs: number },
): string[] {
  const took = (test: string) => tookMs.get(test) ?? 0;
  const ofItsName = join('tests', file.replace(/\.ts$/, '.test.ts'));
  const isOwn = (test: string) =>
    test === ofItsName || (imports.get(test)?.includes(file) ?? false);
  const reaching = [...imports.keys()]
    .filter((test) => test.startsWith('tests/calc/') && test.endsWith('.test.ts'))
    .filter((test) => reaches(test, file, imports))
    .toSorted((a, b) => took(a) - took(b));
  let restMs = othersMs;
  const others = reaching.filter((test) => {
    if (isOwn(test)) return false;
    restMs -= took(test);
    return restMs >= 0;
  });
  return [...reaching.filter(isOwn), ...others];
}

function reaches(from: string, to: string, imports: Imports): boolean {
  const seen = new Set([from]);
  // A set that grows while it is gone through is gone through to its end.
  for (const file of seen) for (const target of imports.get(file) ?? []) seen.add(target);
  return seen.has(to);
}
