import { isAbsolute, normalize, sep } from 'node:path';
import { isMap } from '../config/read-text.ts';

const PATH_KEYS = new Set(['data_folder', 'folder', 'file', 'ran', 'beds_file', 'stations_file']);

/**
 * Files and folders in answers that lie outside of the config's folder and do not stand in the config
 * already. The page may name none: who uses it need not be one who may read every file of the machine.
 */
export function outsideFolder(answers: unknown, old: unknown): { path: string; got: string }[] {
  const known = new Set(pathsIn(old, '').map(({ got }) => got));
  return pathsIn(answers, '').filter(({ got }) => !known.has(got) && !isInside(got));
}

function isInside(file: string): boolean {
  const plain = normalize(file);
  return !isAbsolute(file) && plain !== '..' && !plain.startsWith(`..${sep}`);
}

function pathsIn(value: unknown, at: string): { path: string; got: string }[] {
  if (Array.isArray(value))
    return value.flatMap((one, index) => pathsIn(one, `${at}[#${index + 1}]`));
  if (!isMap(value)) return [];
  return Object.entries(value).flatMap(([key, part]) => {
    const path = at === '' ? key : `${at}.${key}`;
    const isPath = PATH_KEYS.has(key) || key.endsWith('_file');
    return isPath && typeof part === 'string' ? [{ path, got: part }] : pathsIn(part, path);
  });
}
