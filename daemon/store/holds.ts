import type { Db } from './database.ts';

/** A stop that a person has put on. */
export interface Hold {
  holdId: number;
  atMs: number;
  who: string;
  why: string;
  beds: 'all' | string[];
  /** When the person means to lift it; null when they did not say. It lifts nothing by itself. */
  untilMs: number | null;
  /** The confirm that was in force when it was put on, and that it stops. */
  inForceId: number | null;
}

interface HoldRow extends Omit<Hold, 'beds'> {
  beds: string;
}

const COLUMNS =
  'hold_id AS holdId, at_ms AS atMs, who, why, beds, until_ms AS untilMs, in_force_id AS inForceId';

export function addHold(db: Db, hold: Omit<Hold, 'holdId'>): number {
  const { lastInsertRowid } = db
    .prepare(
      'INSERT INTO hold (at_ms, who, why, beds, until_ms, in_force_id) VALUES (?, ?, ?, ?, ?, ?)',
    )
    .run(hold.atMs, hold.who, hold.why, JSON.stringify(hold.beds), hold.untilMs, hold.inForceId);
  return Number(lastInsertRowid);
}

/** Holds that no confirm has lifted, oldest first. */
export function openHolds(db: Db): Hold[] {
  const rows = db
    .prepare(
      `SELECT ${COLUMNS} FROM hold
       WHERE hold_id NOT IN (SELECT hold_id FROM hold_lift) ORDER BY hold_id`,
    )
    .all() as HoldRow[];
  return rows.map(read);
}

/** Every hold, oldest first, with the confirm that lifted it. */
export function allHolds(db: Db): (Hold & { liftedMs: number | null; liftedBy: string | null })[] {
  const rows = db
    .prepare(
      `SELECT h.hold_id AS holdId, h.at_ms AS atMs, h.who, h.why, h.beds, h.until_ms AS untilMs,
         h.in_force_id AS inForceId, c.at_ms AS liftedMs, c.who AS liftedBy
       FROM hold h LEFT JOIN hold_lift l ON l.hold_id = h.hold_id
         LEFT JOIN confirmation c ON c.confirmation_id = l.confirmation_id
       ORDER BY h.hold_id`,
    )
    .all() as (HoldRow & { liftedMs: number | null; liftedBy: string | null })[];
  return rows.map((row) => {
    const { liftedMs, liftedBy } = row;
    return { ...read(row), liftedMs, liftedBy };
  });
}

/** Holds that were put on while a confirm was in force: they stop its runs. */
export function holdsAgainst(db: Db, confirmationId: number): Hold[] {
  const rows = db
    .prepare(`SELECT ${COLUMNS} FROM hold WHERE in_force_id = ? ORDER BY hold_id`)
    .all(confirmationId) as HoldRow[];
  return rows.map(read);
}

/** Whether a hold was put on by this person at this instant. */
export function hasHold(db: Db, { who, atMs }: Pick<Hold, 'who' | 'atMs'>): boolean {
  return db.prepare('SELECT 1 FROM hold WHERE at_ms = ? AND who = ?').get(atMs, who) !== undefined;
}

export function holdById(db: Db, holdId: number): Hold | null {
  const row = db.prepare(`SELECT ${COLUMNS} FROM hold WHERE hold_id = ?`).get(holdId);
  return row === undefined ? null : read(row as HoldRow);
}

export function addLift(db: Db, lift: { holdId: number; confirmationId: number }): void {
  db.prepare('INSERT OR IGNORE INTO hold_lift (hold_id, confirmation_id) VALUES (?, ?)').run(
    lift.holdId,
    lift.confirmationId,
  );
}

/** Whether a hold covers a bed. */
export function covers(hold: Pick<Hold, 'beds'>, bedId: string): boolean {
  return hold.beds === 'all' || hold.beds.includes(bedId);
}

function read(row: HoldRow): Hold {
  return { ...row, beds: JSON.parse(row.beds) as Hold['beds'] };
}
