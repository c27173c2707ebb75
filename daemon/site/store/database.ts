import { accessSync, constants, statfsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { MIGRATIONS } from './migrations.ts';
import { makeOwnFile, makeOwnFolder, shutOwnFolder } from './own-files.ts';
import {
  damageFault,
  isBusy,
  isDamage,
  keepInSight,
  refuseGone,
  StoreFault,
} from './store-faults.ts';

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

const WRITES = /^\s*(INSERT|UPDATE|DELETE|REPLACE)\b/i;

/**
 * Puts every single write into a transaction of its own, which takes the right to write first. A
 * write that the driver begins and that another process keeps from the database stays "in progress"
 * for the driver, and no transaction of this connection can be ended any more.
 */
function guardSingleWrites(db: Database.Database): void {
  const prepare = db.prepare.bind(db);
  db.prepare = ((sql: string) => {
    const statement = prepare(sql);
    if (!WRITES.test(sql)) return statement;
    const run = statement.run.bind(statement);
    statement.run = ((...given: unknown[]) =>
      db.inTransaction
        ? run(...given)
        : inTransaction(db, () => run(...given))) as typeof statement.run;
    return statement;
  }) as typeof db.prepare;
}

/**
 * Does work that can be done later as well without waiting long for another process that writes:
 * the store's own patience, in which nothing else has its turn, is for persons and orders.
 */
export function withoutWaiting(db: Db, mostMs: number, work: () => void): void {
  const [{ timeout }] = db.pragma('busy_timeout') as [{ timeout: number }];
  db.pragma(`busy_timeout = ${mostMs}`);
  try {
    work();
  } finally {
    db.pragma(`busy_timeout = ${timeout}`);
  }
}

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

/**
 * A text that changes with every row that a view may tell of or a plan rests on, whichever process
 * wrote it: every action of a person or of the daemon puts a row into one of these tables.
 */
export function storeVersion(db: Db): string {
  const row = db
    .prepare(
      `SELECT (SELECT coalesce(max(step_id), 0) FROM step) AS steps,
         (SELECT coalesce(max(attempt_id), 0) FROM attempt) AS attempts,
         (SELECT coalesce(max(plan_id), 0) FROM plan) AS plans,
         (SELECT coalesce(max(report_id), 0) FROM field_report) AS reports`,
    )
    .get() as { steps: number; attempts: number; plans: number; reports: number };
  return [row.steps, row.attempts, row.plans, row.reports].join('.');
}

/** What the memory takes, and what is left beside it. */
export interface DiskUse {
  /** The database with what it has not folded in yet. */
  databaseMb: number;
  /** What a user without rights of their own may still write; null where the system does not say. */
  freeMb: number | null;
}

const BYTES_PER_MB = 1_000_000;

export function diskUse(dataFolder: string): DiskUse {
  const bytes = [DATABASE_FILE, `${DATABASE_FILE}-wal`].reduce(
    (sum, name) => sum + (statSync(join(dataFolder, name), { throwIfNoEntry: false })?.size ?? 0),
    0,
  );
  return { databaseMb: bytes / BYTES_PER_MB, freeMb: freeMb(dataFolder) };
}

function freeMb(dataFolder: string): number | null {
  try {
    const { bavail, bsize } = statfsSync(dataFolder);
    return (bavail * bsize) / BYTES_PER_MB;
  } catch {
    return null;
  }
}
