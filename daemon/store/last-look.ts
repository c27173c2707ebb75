import { readFileSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import { writeOwnFile } from './own-files.ts';

/** The file beside the database in which a running daemon says that it looks. */
const FILE = 'last-look';

/** When a daemon of this data folder last looked; null when it never has, or nobody can tell. */
export function readLastLook(dataFolder: string): number | null {
  try {
    const ms = Number(readFileSync(join(dataFolder, FILE), 'utf8').trim());
    return Number.isSafeInteger(ms) && ms > 0 ? ms : null;
  } catch {
    return null;
  }
}

/**
 * Says that the daemon looks now. A file and no row: a row each minute would bury what the memory
 * is for. After a power cut it may be a little old, which makes the absence longer and no run less
 * or more: what became of those follows from the store.
 */
export function writeLastLook(dataFolder: string, nowMs: number): void {
  const file = join(dataFolder, FILE);
  writeOwnFile(`${file}.tmp`, `${nowMs}\n`);
  renameSync(`${file}.tmp`, file);
}
