import { existsSync, mkdirSync, mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { StoreFault } from '../../store/fault.ts';
import { checkPackage, type PackageCheck } from './check-package.ts';
import type { PackageFile } from './manifest.ts';

/**
 * Writes a package beside its place, checks it there, and gives it its name last: what has the name
 * is whole.
 *
 * @throws StoreFault when something stands there already, or it cannot be written.
 */
export function writePackage(folder: string, files: readonly PackageFile[]): PackageCheck {
  if (existsSync(folder)) {
    throw new StoreFault(
      `${folder}: exists already, and nothing is written over; name a folder that does not exist`,
    );
  }
  let draft: string | null = null;
  try {
    mkdirSync(dirname(folder), { recursive: true });
    draft = mkdtempSync(join(dirname(folder), `.${basename(folder)}-`));
    for (const { path, content } of files) {
      const file = join(draft, ...path.split('/'));
      mkdirSync(dirname(file), { recursive: true });
      writeFileSync(file, content, { flag: 'wx' });
    }
    const check = checkPackage(draft);
    if (check.problems.length > 0) throw new Error(check.problems.join('; '));
    renameSync(draft, folder);
    return check;
  } catch (error) {
    if (draft !== null) rmSync(draft, { recursive: true, force: true });
    const what = error instanceof Error ? error.message : String(error);
    throw new StoreFault(
      `${folder}: cannot be written (got ${what}); free some disk space, or name another folder`,
    );
  }
}
