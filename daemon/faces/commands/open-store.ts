import { rememberPlaces } from '../../delivery/earlier-configs.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { bindStore, serveSite } from '../../site/gate/bind-store.ts';
import { type Db, openDatabase } from '../../site/store/database.ts';
import { refuseLost } from '../../site/store/running-daemon.ts';

/**
 * Opens the memory of a site.
 *
 * @param given.use `read` changes nothing, `write` binds the store to the site and its place first.
 * @throws StoreFault when it belongs to another site, is gone where a daemon has kept one, or cannot
 *   be opened.
 */
export function openStore(
  config: LoadedConfig,
  given: { use: 'read' | 'write'; nowMs: number },
): Db {
  refuseLost(config.dataFolder);
  const db = openDatabase(config.dataFolder);
  try {
    if (given.use === 'read') serveSite(db, config);
    // A copy's outputs may write beside it: what it is going to owe is owed to them.
    else if (bindStore(db, config, given.nowMs)) rememberPlaces(db, config, given.nowMs);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}
