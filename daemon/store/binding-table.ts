import { onlyAdded } from './only-added.ts';

/** Which site a store belongs to, and where it has lain; and the way from a confirm to its step. */
export const BINDING_TABLE = `
  CREATE TABLE store_binding (
    store_binding_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    store_id TEXT NOT NULL,
    site_id TEXT NOT NULL,
    folder TEXT NOT NULL,
    device TEXT NOT NULL,
    inode TEXT NOT NULL
  ) STRICT;
  ${onlyAdded(['store_binding'])}
  CREATE INDEX step_digest ON step (digest);
  `;
