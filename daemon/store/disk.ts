import { statfsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { DATABASE_FILE } from './database.ts';

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
