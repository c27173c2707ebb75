import type { Db } from './database.ts';

/**
 * Why the database cannot be written, or null when it can: a real commit that changes nothing, so
 * that a full disk, a read-only folder and a lost right all show.
 */
export function writeFault(db: Db): string | null {
  try {
    db.exec('BEGIN IMMEDIATE');
    const [row] = db.pragma('user_version') as { user_version: number }[];
    db.exec(`PRAGMA user_version = ${row?.user_version ?? 0}; COMMIT`);
    return null;
  } catch (error) {
    if (db.inTransaction) db.exec('ROLLBACK');
    return error instanceof Error ? error.message : String(error);
  }
}
