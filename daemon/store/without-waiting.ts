import type { Db } from './database.ts';

/**
 * Does work that can be done later as well without waiting long for another process that writes:
 * the store's own patience, in which nothing else has its turn, is for persons and orders.
 */
export function withoutWaiting(db: Db, mostMs: number, work: () => void): void {
  const [{ timeout }] = db.pragma('busy_timeout') as [{ timeout: number }];
  db.pragma(`busy_timeout = ${mostMs}`);
  try {
    work();
  } finally {
    db.pragma(`busy_timeout = ${timeout}`);
  }
}
