import type Database from 'libsql';
import { refuseGone } from './files-in-sight.ts';

/**
 * Does work in one transaction that takes the right to write at its beginning; a fault undoes all
 * of it. Nothing is written to a file that is gone from its place. A full disk has undone it already
 * by the time the fault is seen: rolling back once more would hide what really happened behind "no
 * transaction is active".
 */
export function inTransaction<T>(db: Database.Database, work: () => T): T {
  refuseGone(db);
  db.exec('BEGIN IMMEDIATE');
  try {
    const result = work();
    db.exec('COMMIT');
    return result;
  } catch (error) {
    if (db.inTransaction) db.exec('ROLLBACK');
    throw error;
  }
}
