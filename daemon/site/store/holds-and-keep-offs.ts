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

const HOLD_COLUMNS =
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
      `SELECT ${HOLD_COLUMNS} FROM hold
       WHERE hold_id NOT IN (SELECT hold_id FROM hold_lift) ORDER BY hold_id`,
    )
    .all() as HoldRow[];
  return rows.map(readHold);
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
    return { ...readHold(row), liftedMs, liftedBy };
  });
}

/** Holds that were put on while a confirm was in force: they stop its runs. */
export function holdsAgainst(db: Db, confirmationId: number): Hold[] {
  const rows = db
    .prepare(`SELECT ${HOLD_COLUMNS} FROM hold WHERE in_force_id = ? ORDER BY hold_id`)
    .all(confirmationId) as HoldRow[];
  return rows.map(readHold);
}

/** Whether a hold was put on by this person at this instant. */
export function hasHold(db: Db, { who, atMs }: Pick<Hold, 'who' | 'atMs'>): boolean {
  return db.prepare('SELECT 1 FROM hold WHERE at_ms = ? AND who = ?').get(atMs, who) !== undefined;
}

export function holdById(db: Db, holdId: number): Hold | null {
  const row = db.prepare(`SELECT ${HOLD_COLUMNS} FROM hold WHERE hold_id = ?`).get(holdId);
  return row === undefined ? null : readHold(row as HoldRow);
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

function readHold(row: HoldRow): Hold {
  return { ...row, beds: JSON.parse(row.beds) as Hold['beds'] };
}

/** How much of the time that a bed had a hold has eaten: a closed list, the last one worst. */
export const HOLD_LEVELS = ['plenty', 'half', 'quarter', 'zero'] as const;

export type HoldLevel = (typeof HOLD_LEVELS)[number];

/** A bed under a hold: the time to dry that it had when that was put on, and what is left. */
export interface HeldBed {
  bedId: string;
  name: string;
  hadMs: number;
  leftMs: number;
  /** When it gets dry without water. */
  dryMs: number;
  level: HoldLevel;
}

/** An open hold, with its beds and whether the time meant for it has passed. */
export interface HoldStanding {
  hold: Hold;
  /** First to dry first. */
  beds: HeldBed[];
  isOver: boolean;
}

/** The share of its time to dry that a bed under a hold has left, as a level. Pure. */
export function holdLevel({ hadMs, leftMs }: Pick<HeldBed, 'hadMs' | 'leftMs'>): HoldLevel {
  if (leftMs <= 0) return 'zero';
  if (leftMs <= hadMs / 4) return 'quarter';
  return leftMs <= hadMs / 2 ? 'half' : 'plenty';
}

/** A keep-off that a person has put on, with its end as far as it is known. */
export interface PersonKeepOff {
  keepOffId: number;
  atMs: number;
  who: string;
  /** What keeps water off: "mow", "spray", "injector armed". */
  why: string;
  beds: 'all' | string[];
  /** When it ends by itself; null: when a person ends it. */
  untilMs: number | null;
  /** How long water stays off after its end, by the label of what was sprayed; 0 for none. */
  labelIntervalS: number;
  /** When a person ended it, and who. */
  endedMs: number | null;
  endedBy: string | null;
  /** When a person took it back as put on by mistake: no label's interval follows then. */
  takenBackMs: number | null;
}

interface KeepOffRow extends Omit<PersonKeepOff, 'beds'> {
  beds: string;
}

const SELECT_KEEP_OFF = `
  SELECT keep_off_id AS keepOffId, at_ms AS atMs, who, why, beds, until_ms AS untilMs,
    label_interval_s AS labelIntervalS,
    (SELECT min(e.at_ms) FROM keep_off_end e WHERE e.keep_off_id = k.keep_off_id) AS endedMs,
    (SELECT e.who FROM keep_off_end e WHERE e.keep_off_id = k.keep_off_id
      ORDER BY keep_off_end_id LIMIT 1) AS endedBy,
    (SELECT min(e.at_ms) FROM keep_off_end e
      WHERE e.keep_off_id = k.keep_off_id AND e.by_mistake = 1) AS takenBackMs
  FROM keep_off k`;

export function addKeepOff(
  db: Db,
  keepOff: Pick<PersonKeepOff, 'atMs' | 'who' | 'why' | 'beds' | 'untilMs' | 'labelIntervalS'>,
): number {
  const { atMs, who, why, beds, untilMs, labelIntervalS } = keepOff;
  const { lastInsertRowid } = db
    .prepare(
      `INSERT INTO keep_off (at_ms, who, why, beds, until_ms, label_interval_s)
       VALUES (?, ?, ?, ?, ?, ?)`,
    )
    .run(atMs, who, why, JSON.stringify(beds), untilMs, labelIntervalS);
  return Number(lastInsertRowid);
}

/** Remembers that a person ended a keep-off, or took it back as a mistake. */
export function addKeepOffEnd(
  db: Db,
  end: { keepOffId: number; atMs: number; who: string; byMistake: boolean },
): void {
  db.prepare(
    'INSERT INTO keep_off_end (keep_off_id, at_ms, who, by_mistake) VALUES (?, ?, ?, ?)',
  ).run(end.keepOffId, end.atMs, end.who, end.byMistake ? 1 : 0);
}

/** Every keep-off that a person has put on, oldest first. */
export function personKeepOffs(db: Db): PersonKeepOff[] {
  return (db.prepare(`${SELECT_KEEP_OFF} ORDER BY keep_off_id`).all() as KeepOffRow[]).map(
    readKeepOff,
  );
}

export function keepOffById(db: Db, keepOffId: number): PersonKeepOff | null {
  const row = db.prepare(`${SELECT_KEEP_OFF} WHERE keep_off_id = ?`).get(keepOffId);
  return row === undefined ? null : readKeepOff(row as KeepOffRow);
}

function readKeepOff(row: KeepOffRow): PersonKeepOff {
  return { ...row, beds: JSON.parse(row.beds) as PersonKeepOff['beds'] };
}
