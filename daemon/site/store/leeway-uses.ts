import type { DayChange } from '../../../adapters/contract.ts';
import type { Db } from './database.ts';

/** Remembers with which beds' leeway a plan was confirmed. */
export function addLeewayGiven(
  db: Db,
  given: { confirmationId: number; bedIds: readonly string[] },
): void {
  db.prepare('INSERT INTO leeway_given (confirmation_id, beds) VALUES (?, ?)').run(
    given.confirmationId,
    JSON.stringify(given.bedIds),
  );
}

/** The beds with whose leeway a plan was confirmed; null: as laid. */
export function leewayGiven(db: Db, confirmationId: number): string[] | null {
  const row = db
    .prepare('SELECT beds FROM leeway_given WHERE confirmation_id = ?')
    .get(confirmationId) as { beds: string } | undefined;
  return row === undefined ? null : (JSON.parse(row.beds) as string[]);
}

/** Remembers a change; a second one of the same number throws. */
export function addLeewayUse(db: Db, use: DayChange & { confirmationId: number }): void {
  db.prepare(
    'INSERT INTO leeway_use (confirmation_id, number, at_ms, cycles) VALUES (?, ?, ?, ?)',
  ).run(use.confirmationId, use.number, Math.round(use.atMs), JSON.stringify(use.cycles));
}

/** Every change of a confirmed plan, in order. */
export function leewayUses(db: Db, confirmationId: number): DayChange[] {
  const rows = db
    .prepare(
      `SELECT number, at_ms AS atMs, cycles FROM leeway_use WHERE confirmation_id = ?
       ORDER BY number`,
    )
    .all(confirmationId) as { number: number; atMs: number; cycles: string }[];
  return rows.map((row) => ({ ...row, cycles: JSON.parse(row.cycles) as DayChange['cycles'] }));
}

/** The last change of a confirmed plan; null: it stands as laid. */
export function newestLeewayUse(db: Db, confirmationId: number): DayChange | null {
  return leewayUses(db, confirmationId).at(-1) ?? null;
}
