import { accessSync, constants } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { damageFault, isDamage } from './damaged.ts';
import { StoreFault } from './fault.ts';
import { keepInSight } from './files-in-sight.ts';
import { inTransaction } from './in-transaction.ts';
import { MIGRATIONS } from './migrations.ts';
import { makeOwnFile, makeOwnFolder, shutOwnFolder } from './own-files.ts';
import { guardSingleWrites } from './single-writes.ts';

export type Db = Database.Database;

/** Name of the database inside the data folder. */
export const DATABASE_FILE = 'dewbeat.sqlite';

/** A command waits this long for another process to be done with the database. */
const COMMAND_WAIT_MS = 5_000;
/** The daemon waits less, and tries again: while it waits, it answers nobody. */
const DAEMON_WAIT_MS = 250;

/**
 * Opens the data folder's database, makes it when it is new, and brings it to the current version.
 *
 * WAL lets the commands read while the daemon writes; synchronous FULL keeps what was committed
 * through a power cut.
 *
 * @throws StoreFault when the folder cannot be written, the file is no database, or a newer program
 *   has written it. Nothing is changed then.
 */
export function openDatabase(dataFolder: string): Db {
  const file = join(dataFolder, DATABASE_FILE);
  prepareFolder(dataFolder);
  let db: Db;
  try {
    db = new Database(file);
    db.pragma(`busy_timeout = ${COMMAND_WAIT_MS}`);
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
  } catch (error) {
    if (isDamage(error)) throw damageFault(file, messageOf(error));
    throw new StoreFault(
      `${file}: cannot be opened as a database (got ${messageOf(error)}); free some disk space, mend the rights to the folder, or end what else holds the file`,
    );
  }
  guardSingleWrites(db);
  migrate(db, file);
  for (const path of [file, `${file}-wal`]) keepInSight(db, { role: 'database', path });
  return db;
}

/** Makes this connection a daemon's: another process that holds the database keeps it only shortly. */
export function waitBriefly(db: Db): void {
  db.pragma(`busy_timeout = ${DAEMON_WAIT_MS}`);
}

function prepareFolder(dataFolder: string): void {
  try {
    makeOwnFolder(dataFolder);
    accessSync(dataFolder, constants.W_OK);
    makeOwnFile(join(dataFolder, DATABASE_FILE));
    shutOwnFolder(dataFolder, DATABASE_FILE);
  } catch (error) {
    throw new StoreFault(
      `${dataFolder}: the data folder cannot be written (got ${messageOf(error)}); give this user the right to write there, or name another data_folder`,
    );
  }
}

function migrate(db: Db, file: string): void {
  const run = () => {
    const version = versionOf(db);
    if (version > MIGRATIONS.length) {
      throw new StoreFault(
        `${file}: written by a newer dewbeat (got version ${version}, this program knows ${MIGRATIONS.length}); run the newer program, or restore an older copy`,
      );
    }
    for (let next = version; next < MIGRATIONS.length; next++) {
      db.exec(MIGRATIONS[next] ?? '');
      db.pragma(`user_version = ${next + 1}`);
    }
  };
  try {
    // The right to write is asked for only where there is something to write: reading must go on
    // beside a daemon that is busy, and on a disk that takes no more.
    if (versionOf(db) !== MIGRATIONS.length) inTransaction(db, run);
  } catch (error) {
    db.close();
    if (error instanceof StoreFault) throw error;
    if (isDamage(error)) throw damageFault(file, messageOf(error));
    throw new StoreFault(
      `${file}: cannot be brought up to date (got ${messageOf(error)}); free some disk space or restore a copy, then start again`,
    );
  }
}

function versionOf(db: Db): number {
  const row = db.prepare('SELECT user_version AS version FROM pragma_user_version').get() as {
    version: number;
  };
  return row.version;
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
