import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { API } from 'typescript/unstable/sync';
import { findPlaces, type Place } from './find-changes.ts';

/** What a generator wrote has a test of its own against the generator's digest. */
const GENERATED: readonly string[] = ['calc/sand/sand-class-data.ts'];

/** A place to change in a file named from the root of the tree. */
export interface PlaceInFile extends Place {
  file: string;
}

/** Every place of calc that can be changed, file by file. */
export function placesOfCalc(root: string): PlaceInFile[] {
  const api = new API({ cwd: root });
  try {
    const project = api.updateSnapshot({ openProjects: [join(root, 'tsconfig.json')] });
    const { program, rootFiles } = project.getProjects()[0] ?? {};
    const files = (rootFiles ?? [])
      .map((path) => path.slice(root.length + 1))
      .filter((file) => file.startsWith('calc/') && !GENERATED.includes(file));
    return files.toSorted().flatMap((file) => {
      const source = program?.getSourceFile(join(root, file));
      if (source === undefined) throw new Error(`${file} cannot be parsed`);
      return findPlaces(source).map((place) => ({ ...place, file }));
    });
  } finally {
    api.close();
  }
}

/** The text of a file with a change in it, and the change as a person reads it. */
export function changedText(root: string, file: string, change: Place['changes'][number]) {
  const text = readFileSync(join(root, file), 'utf8');
  const oneLine = (piece: string) => piece.replaceAll(/\s+/g, ' ');
  return {
    text: text.slice(0, change.from) + change.text + text.slice(change.to),
    said: `${oneLine(text.slice(change.from, change.to))} -> ${oneLine(change.text)}`,
  };
}
