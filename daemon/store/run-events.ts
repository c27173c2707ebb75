import type { RunEvent } from '../../adapters/contract.ts';
import type { Db } from './database.ts';
import { inTransaction } from './in-transaction.ts';
import { addStep, DAEMON } from './steps.ts';

/** Whether an output sent a run, or missed it, at any time before. */
export function isRunClosed(db: Db, output: string, runId: string): boolean {
  const row = db
    .prepare(
      `SELECT 1 FROM run_event WHERE output = ? AND run_id = ? AND what IN ('claimed', 'missed')`,
    )
    .get(output, runId);
  return row !== undefined;
}

/**
 * Remembers what has become of a run; what did not go well is a line of the log too.
 * @throws when a run is claimed or missed a second time
 */
export function addRunEvent(db: Db, event: RunEvent & { output: string; atMs: number }): void {
  const { atMs, output, runId, orderId, what, detail } = event;
  inTransaction(db, () => {
    db.prepare(
      'INSERT INTO run_event (at_ms, output, run_id, order_id, what, detail) VALUES (?, ?, ?, ?, ?, ?)',
    ).run(atMs, output, runId, orderId, what, detail);
    if (what === 'claimed' || what === 'accepted') return;
    addStep(db, {
      atMs,
      kind: 'send_failed',
      who: DAEMON,
      what: `run ${runId} of ${orderId} to ${output}: ${what}, ${detail}`,
    });
  });
}

/** What has become of the runs of an output, oldest first. */
export function runEvents(db: Db, output: string): (RunEvent & { atMs: number })[] {
  return db
    .prepare(
      `SELECT at_ms AS atMs, run_id AS runId, order_id AS orderId, what, detail
       FROM run_event WHERE output = ? ORDER BY run_event_id`,
    )
    .all(output) as (RunEvent & { atMs: number })[];
}
