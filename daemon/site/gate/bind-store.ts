import { randomBytes } from 'node:crypto';
import { realpathSync } from 'node:fs';
import { join } from 'node:path';
import type { LoadedConfig } from '../config/config.ts';
import { DAEMON } from '../store/audit-log.ts';
import { DATABASE_FILE, type Db } from '../store/database.ts';
import { newestPlan } from '../store/plans.ts';
import { type FilePlace, placeOf, StoreFault } from '../store/store-faults.ts';
import { holdWater } from './gate.ts';
import { useSite } from './site-changes.ts';

/** What a store is held against. */
export type BindingConfig = Pick<
  LoadedConfig,
  'site' | 'clock' | 'units' | 'outputs' | 'dataFolder'
>;

/**
 * Uses a store for a site: what stands of its plans is held against that site from here on. Writes
 * nothing.
 * @throws StoreFault when the store belongs to another site.
 */
export function serveSite(db: Db, config: BindingConfig): void {
  refuseOtherSite(db, { siteId: config.site.id, dataFolder: config.dataFolder });
  useSite(db, config);
}

/** @throws StoreFault when the store belongs to another site. */
export function refuseOtherSite(
  db: Db,
  { siteId, dataFolder }: { siteId: string; dataFolder: string },
): void {
  const owner = newestBinding(db)?.siteId ?? newestPlan(db)?.plan.siteId ?? siteId;
  if (owner === siteId) return;
  throw new StoreFault(
    `${dataFolder}: this data folder belongs to the site ${owner} (got ${siteId}); name a data_folder of its own for ${siteId}`,
  );
}

/**
 * The same for whoever is going to write: the first time it binds the store to the site and to its
 * place. A store that turns up elsewhere is a copy, or a backup put back: everything in it goes on
 * hold, because what it remembers may be older than what is true, and its original may still run.
 *
 * @returns Whether it had to be bound: where it lies is news.
 * @throws StoreFault when the store belongs to another site; what the driver says when it refuses to
 *   be written.
 */
export function bindStore(db: Db, config: BindingConfig, nowMs: number): boolean {
  serveSite(db, config);
  const before = newestBinding(db);
  const found = placeNow(config);
  if (found === null || (before !== null && !isCopy(before, found))) return false;
  // The hold first: if this ends in between, the next start puts on another, and nothing runs.
  if (before !== null) {
    const from = before.folder === found.folder ? 'a copy' : before.folder;
    holdWater(
      { db, clock: config.clock, outputs: config.outputs.map(({ name }) => name), nowMs },
      {
        who: DAEMON,
        why: `the data folder was moved or copied from ${from}: read a fresh plan and confirm it`,
        beds: 'all',
        untilMs: null,
      },
    );
  }
  addBinding(db, { ...found, atMs: nowMs, siteId: config.site.id });
  return true;
}

/** Where the database lies now; null when it is gone, which is found out elsewhere. */
function placeNow({
  dataFolder,
}: BindingConfig): Pick<Binding, 'folder' | 'device' | 'inode'> | null {
  const place = placeOf(join(dataFolder, DATABASE_FILE));
  return place === null ? null : { folder: realpathSync(dataFolder), ...place };
}

/** To which site a store belongs, and where its database lay when that was written. */
interface Binding extends FilePlace {
  atMs: number;
  /** Random: a copy gets one of its own as soon as it is used. */
  storeId: string;
  siteId: string;
  /** Absolute data folder, links resolved. */
  folder: string;
}

const STORE_ID_BYTES = 8;

export function addBinding(db: Db, binding: Omit<Binding, 'storeId'>): void {
  db.prepare(
    `INSERT INTO store_binding (at_ms, store_id, site_id, folder, device, inode)
     VALUES (?, ?, ?, ?, ?, ?)`,
  ).run(
    binding.atMs,
    randomBytes(STORE_ID_BYTES).toString('hex'),
    binding.siteId,
    binding.folder,
    binding.device,
    binding.inode,
  );
}

/** The binding that counts: the newest; null where nobody has bound the store yet. */
export function newestBinding(db: Db): Binding | null {
  const row = db
    .prepare(
      `SELECT at_ms AS atMs, store_id AS storeId, site_id AS siteId, folder, device, inode
       FROM store_binding ORDER BY store_binding_id DESC LIMIT 1`,
    )
    .get() as Binding | undefined;
  return row ?? null;
}

/**
 * Whether a database is another file than the one that was bound: a copy, or a backup put in its
 * place. A folder that was renamed, or is reached by another path, still holds the same file; device
 * numbers alone may be given anew when a machine starts. Pure.
 */
export function isCopy(
  bound: Pick<Binding, 'folder' | 'device' | 'inode'>,
  found: Pick<Binding, 'folder' | 'device' | 'inode'>,
): boolean {
  if (bound.inode !== found.inode) return true;
  return bound.folder !== found.folder && bound.device !== found.device;
}
