import type { Db } from './database.ts';

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

interface Row extends Omit<PersonKeepOff, 'beds'> {
  beds: string;
}

const SELECT = `
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
  return (db.prepare(`${SELECT} ORDER BY keep_off_id`).all() as Row[]).map(read);
}

export function keepOffById(db: Db, keepOffId: number): PersonKeepOff | null {
  const row = db.prepare(`${SELECT} WHERE keep_off_id = ?`).get(keepOffId);
  return row === undefined ? null : read(row as Row);
}

function read(row: Row): PersonKeepOff {
  return { ...row, beds: JSON.parse(row.beds) as PersonKeepOff['beds'] };
}
