import type { Db } from '../store/database.ts';
import { everyLook } from '../store/looks.ts';
import type { LookRecord } from './look-record.ts';

/** Looks of a stretch of time, in the order in which they were seen. */
export function readLooks(db: Db, span: { fromMs: number; toMs: number }): LookRecord[] {
  return everyLook(db)
    .filter(({ seenMs }) => seenMs >= span.fromMs && seenMs < span.toMs)
    .map(({ undoneMs, ...look }) => ({ ...look, isUndone: undoneMs !== null }));
}
