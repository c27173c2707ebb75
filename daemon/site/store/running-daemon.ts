import { randomBytes } from 'node:crypto';
import { existsSync, readFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { z } from 'zod';
import { DATABASE_FILE } from './database.ts';
import { makeOwnFile, writeOwnFile } from './own-files.ts';
import { StoreFault } from './store-faults.ts';

const LOCK_FILE = 'instance.lock';

/** The right to be the one daemon of a data folder. */
interface InstanceLock {
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

/** How often a running daemon writes its status. */
export const HEARTBEAT_MS = 10_000;

/** File in the data folder with what only a running daemon knows; replaced as a whole. */
const STATUS_FILE = 'status.json';

const instant = z.iso.datetime({ offset: true });

const statusSchema = z.object({
  format: z.literal('dewbeat-status'),
  format_version: z.literal(1),
  pid: z.int(),
  started_at: instant,
  /** The daemon's heartbeat: when it last wrote this. */
  heartbeat_at: instant,
  /** When the config in use was read. */
  config_read_at: instant,
  /** What is wrong with the config that was refused since; empty: nothing. */
  config_problems: z.array(z.string()),
  /** Where the page is served; null while it is not. */
  page: z.string().nullable(),
  outputs: z.array(z.object({ output: z.string(), ok: z.boolean(), detail: z.string() })),
  /** What reading back has shown of the outputs that are not as wanted, or cannot be seen. */
  read_back: z
    .array(
      z.object({
        output: z.string(),
        detail: z.string(),
        unseen_since: instant.nullable(),
        put_right_of_late: z.int(),
      }),
    )
    .default([]),
  /** Places that no output writes to any more and that are not known to be empty. */
  left_places: z.array(z.object({ place: z.string(), detail: z.string() })).default([]),
  duties: z.array(
    z.object({
      duty: z.string(),
      running_since: instant.nullable(),
      last_ended_at: instant.nullable(),
      took_s: z.number().nullable(),
      fault: z.string().nullable(),
      faults_in_a_row: z.int(),
    }),
  ),
  /** What is wrong with the daemon's own clockwork; empty: nothing. */
  unhealthy: z.array(z.string()),
  /** Why the database cannot be written; null: it can. */
  database_fault: z.string().nullable(),
  /** What has become of the database or of the lock while the daemon has them open; null: nothing. */
  database_gone: z.string().nullable().default(null),
  lock_gone: z.string().nullable().default(null),
});

/** What only a running daemon knows, as it stands in its file. */
export type DaemonStatus = z.output<typeof statusSchema>;

/**
 * Replaces the status file; a reader sees the old text or the new. It is not forced to the disk: a
 * power cut ends the daemon whose status it is.
 *
 * @throws when the data folder refuses.
 */
export function writeDaemonStatus(dataFolder: string, status: DaemonStatus): void {
  const temporary = join(dataFolder, `.${STATUS_FILE}.${randomBytes(4).toString('hex')}.tmp`);
  try {
    writeOwnFile(temporary, `${JSON.stringify(status, null, 2)}\n`);
    renameSync(temporary, join(dataFolder, STATUS_FILE));
  } catch (error) {
    rmSync(temporary, { force: true });
    throw error;
  }
}

/** What the last daemon wrote, or null when there is nothing that can be read. */
export function readDaemonStatus(dataFolder: string): DaemonStatus | null {
  try {
    const text = readFileSync(join(dataFolder, STATUS_FILE), 'utf8');
    return statusSchema.safeParse(JSON.parse(text)).data ?? null;
  } catch {
    return null;
  }
}

/** The file beside the database in which a running daemon says that it looks. */
const LAST_LOOK_FILE = 'last-look';

/** When a daemon of this data folder last looked; null when it never has, or nobody can tell. */
export function readLastLook(dataFolder: string): number | null {
  try {
    const ms = Number(readFileSync(join(dataFolder, LAST_LOOK_FILE), 'utf8').trim());
    return Number.isSafeInteger(ms) && ms > 0 ? ms : null;
  } catch {
    return null;
  }
}

/**
 * Says that the daemon looks now. A file and no row: a row each minute would bury what the memory
 * is for. After a power cut it may be a little old, which makes the absence longer and no run less
 * or more: what became of those follows from the store.
 */
export function writeLastLook(dataFolder: string, nowMs: number): void {
  const file = join(dataFolder, LAST_LOOK_FILE);
  writeOwnFile(`${file}.tmp`, `${nowMs}\n`);
  renameSync(`${file}.tmp`, file);
}

/**
 * Looks before a store is opened: a fresh memory in the place of a lost one would know of no hold and
 * of no run.
 * @throws StoreFault when there is no database where a daemon has kept one.
 */
export function refuseLost(dataFolder: string): void {
  const file = join(dataFolder, DATABASE_FILE);
  if (existsSync(file)) return;
  const daemon = readDaemonStatus(dataFolder);
  if (daemon === null) return;
  throw new StoreFault(
    `${file}: is gone, though a daemon has kept its memory there (last word ${daemon.heartbeat_at}); stop the daemon if it still runs and restore a copy that \`dewbeat backup\` made, or begin anew with another data_folder`,
  );
}
