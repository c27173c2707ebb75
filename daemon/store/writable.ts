import type { Db } from './database.ts';
import { isBusy } from './refusal.ts';

/** What a person is told where the driver only says that the database is locked. */
const HELD_ELSEWHERE = 'another process holds the database';

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
    return isBusy(error) ? HELD_ELSEWHERE : messageOf(error);
  }
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
