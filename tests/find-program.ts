import { accessSync, constants } from 'node:fs';
import { delimiter, join } from 'node:path';

/** Places where programs are often installed and which are not on every person's path. */
const USUAL_FOLDERS = ['/usr/sbin', '/usr/local/sbin', '/opt/homebrew/sbin'];

/** Where a program of this machine lies, or null. */
export function findProgram(name: string): string | null {
  const { PATH: path = '' } = process.env;
  const folders = [...path.split(delimiter), ...USUAL_FOLDERS];
  return folders.map((folder) => join(folder, name)).find(isProgram) ?? null;
}

/** Whether this is a file that can be run. */
export function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
