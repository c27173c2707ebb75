import { copyFileSync, existsSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import type Database from 'libsql';
import { StoreFault } from './fault.ts';
import { keepToOurselves } from './own-files.ts';

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
