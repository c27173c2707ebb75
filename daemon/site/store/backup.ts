import { randomBytes } from 'node:crypto';
import { closeSync, existsSync, fsyncSync, linkSync, openSync, rmSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Database from 'libsql';
import type { Db } from './database.ts';
import { MIGRATIONS } from './migrations.ts';
import { StoreFault } from './store-faults.ts';

/** What a backup holds, as found by looking through it. */
export interface BackupContents {
  file: string;
  sizeMb: number;
  /** Migrations that it has been through. */
  version: number;
  /** Rows of each table. */
  rows: Record<string, number>;
  /** When the last line of the log was written; null when it has none. */
  lastStepMs: number | null;
}

/**
 * Writes a whole, checked copy of the database to a new file while a daemon goes on writing.
 *
 * The copy is made under another name, forced to the disk, looked through and held against the
 * database's own row counts before it gets its name: a file of that name is a backup.
 *
 * @throws StoreFault when the file is there already, or the copy cannot be made or is not sound.
 */
export function backUp(db: Db, file: string): BackupContents {
  if (existsSync(file)) {
    throw new StoreFault(`${file}: is there already; name another file, nothing is overwritten`);
  }
  const temporary = join(dirname(file), `.${basename(file)}.${randomBytes(4).toString('hex')}.tmp`);
  try {
    const before = rowCounts(db);
    // Made before it is filled, so that nobody else can open it meanwhile.
    closeSync(openSync(temporary, 'wx', 0o600));
    db.prepare('VACUUM INTO ?').run(temporary);
    toDisk(temporary);
    const contents = checkBackup(temporary);
    const after = rowCounts(db);
    for (const [table, count] of Object.entries(before)) {
      const copied = contents.rows[table] ?? -1;
      if (copied < count || copied > (after[table] ?? 0)) {
        throw new StoreFault(
          `${file}: the copy is not whole (got ${copied} rows of ${table}, the database has ${count}); try again`,
        );
      }
    }
    // A link fails where a file of the name has come meanwhile; a rename would replace it.
    linkSync(temporary, file);
    rmSync(temporary, { force: true });
    toDisk(dirname(file));
    return { ...contents, file };
  } catch (error) {
    rmSync(temporary, { force: true });
    if (error instanceof StoreFault) throw error;
    throw new StoreFault(
      `${file}: no backup could be written (got ${messageOf(error)}); name a folder that is there, can be written and has room`,
    );
  }
}

/**
 * Looks through a backup and changes nothing in it.
 * @throws StoreFault when it is missing, damaged, or of a newer program.
 */
export function checkBackup(file: string): BackupContents {
  if (!existsSync(file)) throw new StoreFault(`${file}: is not there; name a backup`);
  const db = new Database(file, { readonly: true });
  try {
    db.pragma('query_only = ON');
    const [found] = db.pragma('integrity_check(1)') as { integrity_check: string }[];
    if (found?.integrity_check !== 'ok') {
      throw new StoreFault(
        `${file}: is damaged (got ${found?.integrity_check}); use another backup`,
      );
    }
    const [row] = db.pragma('user_version') as { user_version: number }[];
    const version = row?.user_version ?? 0;
    const rows = rowCounts(db);
    if (version < 1 || !('step' in rows)) {
      throw new StoreFault(`${file}: is no database of dewbeat; name a backup`);
    }
    if (version > MIGRATIONS.length) {
      throw new StoreFault(
        `${file}: written by a newer dewbeat (got version ${version}, this program knows ${MIGRATIONS.length}); use the newer program`,
      );
    }
    const { lastStepMs } = db.prepare('SELECT max(at_ms) AS lastStepMs FROM step').get() as {
      lastStepMs: number | null;
    };
    return { file, sizeMb: statSync(file).size / 1_000_000, version, rows, lastStepMs };
  } catch (error) {
    if (error instanceof StoreFault) throw error;
    throw new StoreFault(
      `${file}: is no sound database (got ${messageOf(error)}); use another backup`,
    );
  } finally {
    db.close();
  }
}

function rowCounts(db: Db): Record<string, number> {
  const tables = db
    .prepare(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name",
    )
    .all() as { name: string }[];
  return Object.fromEntries(
    tables.map(({ name }) => [
      name,
      (db.prepare(`SELECT count(*) AS n FROM "${name}"`).get() as { n: number }).n,
    ]),
  );
}

function toDisk(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
