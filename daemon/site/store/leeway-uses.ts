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

interface UseRow {
  row: number;
  number: number;
  atMs: number;
  cycles: string;
}

const COLUMNS = 'leeway_use_id AS row, number, at_ms AS atMs, cycles';

/** Every change of a confirmed plan, in order. */
export function leewayUses(db: Db, confirmationId: number): DayChange[] {
  const rows = db
    .prepare(`SELECT ${COLUMNS} FROM leeway_use WHERE confirmation_id = ? ORDER BY number`)
    .all(confirmationId) as UseRow[];
  return rows.map((row) => changeOf(db, row));
}

/** The last change of a confirmed plan, up to a number; null: it stands, or stood, as laid. */
export function newestLeewayUse(
  db: Db,
  confirmationId: number,
  upTo = Number.POSITIVE_INFINITY,
): DayChange | null {
  const row = db
    .prepare(
      `SELECT ${COLUMNS} FROM leeway_use WHERE confirmation_id = ? AND number <= ?
       ORDER BY number DESC LIMIT 1`,
    )
    .get(confirmationId, Math.min(upTo, Number.MAX_SAFE_INTEGER)) as UseRow | undefined;
  return row === undefined ? null : changeOf(db, row);
}

/** A day is asked for again and again: its changes are made out once, as long as their rows say the same. */
const MOST_KEPT = 200;
const kept = new WeakMap<Db, Map<number, { text: string; change: DayChange }>>();

function changeOf(db: Db, { row, cycles: text, ...rest }: UseRow): DayChange {
  const changes = kept.get(db) ?? new Map<number, { text: string; change: DayChange }>();
  kept.set(db, changes);
  const known = changes.get(row);
  if (known?.text === text) return known.change;
  const change = { ...rest, cycles: JSON.parse(text) as DayChange['cycles'] };
  changes.set(row, { text, change });
  const [oldest] = changes.keys();
  if (changes.size > MOST_KEPT && oldest !== undefined) changes.delete(oldest);
  return change;
}
