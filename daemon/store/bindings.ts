import { randomBytes } from 'node:crypto';
import type { Db } from './database.ts';
import type { FilePlace } from './file-place.ts';

/** To which site a store belongs, and where its database lay when that was written. */
export interface Binding extends FilePlace {
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
