import { lstatSync, realpathSync, type Stats, statSync } from 'node:fs';
import { basename, dirname, isAbsolute, join, normalize, resolve, sep } from 'node:path';
import { isMap, whatItIs } from '../config/read-text.ts';

const FOLDER_KEYS = new Set(['data_folder', 'folder']);
const FILE_KEYS = new Set(['file', 'ran']);

/** A file or folder in answers that the page must not touch. */
export interface OutsidePath {
  path: string;
  /** What is wrong with it, and what to do. */
  message: string;
}

/**
 * Files and folders in answers that lie outside of the config's folder, links followed, and do not stand
 * in the config already under the same key; and files that are no plain files. The page may name none:
 * who uses it need not be one who may read every file of the machine.
 */
export function outsideFolder(
  answers: unknown,
  given: { old: unknown; baseFolder: string },
): OutsidePath[] {
  const known = new Set(pathsIn(given.old, '').map(({ key, got }) => `${key} ${got}`));
  return pathsIn(answers, '').flatMap(({ path, key, got }) => {
    const isKnown = known.has(`${key} ${got}`);
    const why = isKnown ? null : whyOutside(got, given.baseFolder);
    const message = why ?? whyNoFile(key, resolve(given.baseFolder, got), got);
    return message === null ? [] : [{ path, message }];
  });
}

function whyOutside(file: string, baseFolder: string): string | null {
  const elsewhere = 'name a place inside it, or use `dewbeat init` in a terminal';
  const plain = normalize(file);
  if (isAbsolute(file) || isAbove(plain)) {
    return `lies outside of the config's folder (got ${file}); ${elsewhere}`;
  }
  try {
    const base = realpathSync(baseFolder);
    const real = realPlace(resolve(baseFolder, plain));
    if (real === base || real.startsWith(base.endsWith(sep) ? base : `${base}${sep}`)) return null;
    return `leads out of the config's folder by a link (got ${file}); ${elsewhere}`;
  } catch (error) {
    const { code = 'a fault' } = error as NodeJS.ErrnoException;
    return `cannot be followed (got ${file}: ${code}); ${elsewhere}`;
  }
}

function isAbove(plain: string): boolean {
  return plain === '..' || plain.startsWith(`..${sep}`);
}

/** Where a path really leads; of what is not there yet, the folder around it counts. */
function realPlace(path: string): string {
  try {
    return realpathSync(path);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== 'ENOENT' || isLink(path) || dirname(path) === path) throw error;
    return join(realPlace(dirname(path)), basename(path));
  }
}

/** A link that leads nowhere yet could be written through. */
function isLink(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() ?? false;
}

/** Opening a pipe or a device can take for ever: what stands there is asked first. */
function whyNoFile(key: string, path: string, got: string): string | null {
  let found: Stats;
  try {
    found = statSync(path);
  } catch {
    // What is not there, or may not be looked at, is told by whoever needs it.
    return null;
  }
  if (FOLDER_KEYS.has(key)) {
    return found.isDirectory() ? null : `is no folder (got ${got}); name a folder`;
  }
  return found.isFile() ? null : `is ${whatItIs(found)} (got ${got}); name a plain file`;
}

function pathsIn(value: unknown, at: string): { path: string; key: string; got: string }[] {
  if (Array.isArray(value))
    return value.flatMap((one, index) => pathsIn(one, `${at}[#${index + 1}]`));
  if (!isMap(value)) return [];
  return Object.entries(value).flatMap(([key, part]) => {
    const path = at === '' ? key : `${at}.${key}`;
    const isPath = FOLDER_KEYS.has(key) || FILE_KEYS.has(key) || key.endsWith('_file');
    return isPath && typeof part === 'string' ? [{ path, key, got: part }] : pathsIn(part, path);
  });
}
