import type { Db } from '../../site/store/database.ts';
import type { ConfigOption } from './config-option.ts';
import { type OpenedConfig, openConfig } from './open-config.ts';
import { openStore } from './open-store.ts';
import type { Shell } from './shell.ts';

/** A site opened for a command that looks at what is kept alone: its weather is not even loaded. */
export interface StoreSession extends OpenedConfig {
  db: Db;
}

/** Opens config and memory, hands them to the work, and closes the memory whatever happens. */
export async function readStore<T>(
  options: ConfigOption,
  shell: Shell,
  work: (session: StoreSession) => T | Promise<T>,
): Promise<T> {
  const site = openConfig(options, shell);
  const db = openStore(site.config, { use: 'read', nowMs: shell.nowMs() });
  try {
    return await work({ ...site, db });
  } finally {
    db.close();
  }
}

/** `-c FILE` as the person must repeat it in the next command, or nothing for the default. */
export function repeatConfig(options: ConfigOption): string {
  return options.config === undefined ? '' : ` -c ${options.config}`;
}
