import type { Confirmation } from '../../adapters/contract.ts';
import type { Db } from './database.ts';
import { planById, type StoredPlan } from './plans.ts';

/** A confirm as it is remembered, with the plan it confirmed. */
export interface StoredConfirmation extends Confirmation {
  confirmationId: number;
  stored: StoredPlan;
}

interface ConfirmationRow {
  confirmationId: number;
  planId: number;
  atMs: number;
  who: string;
  cautions: string;
}

const COLUMNS =
  'confirmation_id AS confirmationId, plan_id AS planId, at_ms AS atMs, who, cautions';

export function addConfirmation(db: Db, confirmation: Confirmation & { planId: number }): number {
  const { lastInsertRowid } = db
    .prepare('INSERT INTO confirmation (plan_id, at_ms, who, cautions) VALUES (?, ?, ?, ?)')
    .run(
      confirmation.planId,
      confirmation.atMs,
      confirmation.who,
      JSON.stringify(confirmation.cautions),
    );
  return Number(lastInsertRowid);
}

/** The confirm given last, or null. */
export function newestConfirmation(db: Db): StoredConfirmation | null {
  return read(
    db,
    db.prepare(`SELECT ${COLUMNS} FROM confirmation ORDER BY confirmation_id DESC LIMIT 1`).get(),
  );
}

export function confirmationById(db: Db, confirmationId: number): StoredConfirmation | null {
  return read(
    db,
    db.prepare(`SELECT ${COLUMNS} FROM confirmation WHERE confirmation_id = ?`).get(confirmationId),
  );
}

export function confirmationOf(db: Db, planId: number): StoredConfirmation | null {
  return read(db, db.prepare(`SELECT ${COLUMNS} FROM confirmation WHERE plan_id = ?`).get(planId));
}

/** Confirms given from an instant on, oldest first, and the one in force at that instant. */
export function confirmationsSince(db: Db, fromMs: number): StoredConfirmation[] {
  const rows = db
    .prepare(
      `SELECT ${COLUMNS} FROM confirmation WHERE confirmation_id >= coalesce(
         (SELECT max(confirmation_id) FROM confirmation WHERE at_ms < ?), 0)
       ORDER BY confirmation_id`,
    )
    .all(fromMs);
  return rows.flatMap((row) => read(db, row) ?? []);
}

function read(db: Db, row: unknown): StoredConfirmation | null {
  if (row === undefined) return null;
  const { confirmationId, planId, atMs, who, cautions } = row as ConfirmationRow;
  const stored = planById(db, planId);
  if (stored === null) return null;
  return { confirmationId, atMs, who, cautions: JSON.parse(cautions) as string[], stored };
}
