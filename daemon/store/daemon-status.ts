import { randomBytes } from 'node:crypto';
import { readFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { writeOwnFile } from './own-files.ts';

/** File in the data folder with what only a running daemon knows; replaced as a whole. */
export const STATUS_FILE = 'status.json';

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
