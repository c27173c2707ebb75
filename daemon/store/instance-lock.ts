import { join } from 'node:path';
import Database from 'libsql';

/** The right to be the one daemon of a data folder. */
export interface InstanceLock {
  release(): void;
}

/**
 * Takes the data folder for this process, or gives null when another process has it.
 *
 * The lock is a transaction held open on a small database of its own: the operating system lets go
 * of it when the process ends, however it ends, so no stale lock ever has to be cleared by hand.
 */
export function takeInstanceLock(dataFolder: string): InstanceLock | null {
  const db = new Database(join(dataFolder, 'instance.lock'));
  try {
    // Another process that only looks whether the lock is taken holds it for an instant.
    db.pragma('busy_timeout = 200');
    db.exec('BEGIN EXCLUSIVE');
  } catch {
    db.close();
    return null;
  }
  return {
    release() {
      if (!db.open) return;
      db.exec('ROLLBACK');
      db.close();
    },
  };
}

/** Whether a process has the data folder; says so without taking it. */
export function isInstanceLockTaken(dataFolder: string): boolean {
  const db = new Database(join(dataFolder, 'instance.lock'));
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
