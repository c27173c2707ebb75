import { existsSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { makeOwnFile } from './own-files.ts';

const LOCK_FILE = 'instance.lock';

/** The right to be the one daemon of a data folder. */
export interface InstanceLock {
  file: string;
  release(): void;
}

/**
 * Takes the data folder for this process, or gives null when another process has it.
 *
 * The lock is a transaction held open on a small database of its own: the operating system lets go
 * of it when the process ends, however it ends, so no stale lock ever has to be cleared by hand.
 */
export function takeInstanceLock(dataFolder: string): InstanceLock | null {
  const file = join(dataFolder, LOCK_FILE);
  // Nobody else's to open: held by another user it would keep the daemon from starting.
  makeOwnFile(file);
  const db = new Database(file);
  try {
    // Another process that only looks whether the lock is taken holds it for an instant.
    db.pragma('busy_timeout = 200');
    db.exec('BEGIN EXCLUSIVE');
  } catch {
    db.close();
    return null;
  }
  return {
    file,
    release() {
      if (!db.open) return;
      db.exec('ROLLBACK');
      db.close();
    },
  };
}

/** Whether a process has the data folder; says so without taking it. */
export function isInstanceLockTaken(dataFolder: string): boolean {
  const file = join(dataFolder, LOCK_FILE);
  // Looking makes no file: one that is gone from under a daemon must be seen to be gone.
  if (!existsSync(file)) return false;
  const db = new Database(file);
  try {
    db.pragma('busy_timeout = 0');
    db.prepare('SELECT count(*) FROM sqlite_schema').get();
    return false;
  } catch {
    return true;
  } finally {
    db.close();
  }
}
