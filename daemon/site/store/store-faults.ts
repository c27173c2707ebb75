import { copyFileSync, existsSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import type Database from 'libsql';
import { keepToOurselves } from './own-files.ts';

/** The data folder or its database cannot be used; the message says what to do. */
export class StoreFault extends Error {
  override name = 'StoreFault';
}

/** True when another process holds the database: the next try may go well. */
export function isBusy(error: unknown): boolean {
  return codeOf(error).startsWith('SQLITE_BUSY');
}

/**
 * What a person is told when the store does not take what they asked for, or null when the error is
 * none of the store's: it holds for a moment (another process has it) or until somebody mends it.
 */
export function storeRefusal(error: unknown): string | null {
  if (error instanceof StoreFault) return error.message;
  if (isBusy(error)) {
    return 'database: another process holds it (got no turn to write); try again in a moment';
  }
  if (!/^SQLITE_(FULL|READONLY|IOERR|CANTOPEN)/.test(codeOf(error))) return null;
  const { message } = error as Error;
  return `database: refuses to be written (got ${message}); free some space or mend its rights, then try again`;
}

function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : '';
}

/** True when the driver says that the file itself is broken, and not the way to it. */
export function isDamage(error: unknown): boolean {
  const { code = '', message = '' } = error as { code?: string; message?: string };
  return (
    /^SQLITE_(CORRUPT|NOTADB)/.test(code) || /malformed|not a database|is encrypted/.test(message)
  );
}

/**
 * Keeps a copy of a damaged database beside it, and gives the fault that says how to go on. The
 * copy bears the instant at which the file was last written: starting over and over on the same
 * damage leaves one copy and does not fill the disk.
 */
export function damageFault(file: string, got: string): StoreFault {
  const kept = keepCopy(file);
  return new StoreFault(
    `${file}: the database is damaged (got ${got}); ${kept}; stop dewbeat, move ${basename(file)}, ${basename(file)}-wal and ${basename(file)}-shm away, restore a copy that \`dewbeat backup\` made under the name ${basename(file)}, start again and put on a hold until a fresh plan is confirmed`,
  );
}

/**
 * Looks through the whole database, so that a daemon never plans on half a memory.
 * @throws StoreFault when it is damaged; nothing is changed then.
 */
export function refuseDamage(db: Database.Database, file: string): void {
  let found: string;
  try {
    found = (db.pragma('quick_check(1)') as { quick_check: string }[])[0]?.quick_check ?? '';
  } catch (error) {
    found = error instanceof Error ? error.message : String(error);
  }
  if (found !== 'ok') throw damageFault(file, found.replace(/\s+/g, ' '));
}

function keepCopy(file: string): string {
  try {
    const stamp = statSync(file).mtime.toISOString().replace(/[-:]/g, '').replace(/\.\d+/, '');
    const copy = `${file}.corrupt-${stamp}`;
    if (!existsSync(copy)) {
      copyFileSync(file, copy);
      keepToOurselves(copy);
      if (existsSync(`${file}-wal`)) {
        copyFileSync(`${file}-wal`, `${copy}-wal`);
        keepToOurselves(`${copy}-wal`);
      }
    }
    return `a copy is kept as ${basename(copy)}`;
  } catch (error) {
    return `no copy could be kept (got ${error instanceof Error ? error.message : String(error)})`;
  }
}

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

/** Which file a path leads to: two paths with the same device and inode are one file. */
export interface FilePlace {
  device: string;
  inode: string;
}

/** The file that a path leads to now, or null when there is none. */
export function placeOf(path: string): FilePlace | null {
  // Inode numbers of large file systems pass what a double holds exactly.
  const found = statSync(path, { bigint: true, throwIfNoEntry: false });
  return found === undefined ? null : { device: String(found.dev), inode: String(found.ino) };
}

function isSamePlace(a: FilePlace | null, b: FilePlace | null): boolean {
  return a !== null && b !== null && a.device === b.device && a.inode === b.inode;
}
