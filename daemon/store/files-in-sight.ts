import type Database from 'libsql';
import { StoreFault } from './fault.ts';
import { type FilePlace, isSamePlace, placeOf } from './file-place.ts';

/** What an open file is to the store. */
export type FileRole = 'database' | 'lock';

interface InSight {
  role: FileRole;
  path: string;
  /** The file that is open; null until it is first seen, as SQLite makes its log later. */
  place: FilePlace | null;
}

const inSight = new WeakMap<Database.Database, InSight[]>();

/**
 * Keeps a file in sight for as long as the connection lives. A file that somebody deletes or puts
 * another in the place of stays open here, and all that is written to it is lost at the next start
 * and unseen by every command: neither the system nor SQLite says a word.
 */
export function keepInSight(
  db: Database.Database,
  { role, path }: Pick<InSight, 'role' | 'path'>,
): void {
  const files = inSight.get(db) ?? [];
  inSight.set(db, [...files, { role, path, place: placeOf(path) }]);
}

/** What has become of the files of this connection, by role; null: they are where they were. */
export function goneFiles(db: Database.Database): Record<FileRole, string | null> {
  const gone: Record<FileRole, string | null> = { database: null, lock: null };
  for (const file of inSight.get(db) ?? []) {
    const found = placeNow(file.path);
    file.place ??= found;
    if (file.place === null || isSamePlace(file.place, found)) continue;
    gone[file.role] ??=
      `${file.path}: was ${found === null ? 'deleted' : 'replaced'} while it is open`;
  }
  return gone;
}

/** @throws StoreFault when a file of this connection is gone: nothing written would last. */
export function refuseGone(db: Database.Database): void {
  const { database, lock } = goneFiles(db);
  const gone = database ?? lock;
  if (gone === null) return;
  throw new StoreFault(
    `${gone}; stop the daemon, put the file back or restore a copy that \`dewbeat backup\` made, and start again`,
  );
}

/** A folder that cannot be looked into is as good as gone. */
function placeNow(path: string): FilePlace | null {
  try {
    return placeOf(path);
  } catch {
    return null;
  }
}
