import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { readDaemonStatus } from './daemon-status.ts';
import { DATABASE_FILE } from './database.ts';
import { StoreFault } from './fault.ts';

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
