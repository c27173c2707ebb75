import type { Db } from './database.ts';

/** A person's correction of one bed's dose. */
export interface BedTrim {
  atMs: number;
  who: string;
  why: string;
  bedId: string;
  /** 1 leaves the dose alone, 1.1 gives 10 % more. */
  trimFraction: number;
}

export function addBedTrim(db: Db, trim: BedTrim): void {
  db.prepare(
    'INSERT INTO bed_trim (at_ms, who, why, bed, trim_fraction) VALUES (?, ?, ?, ?, ?)',
  ).run(trim.atMs, trim.who, trim.why, trim.bedId, trim.trimFraction);
}

/** Every trim of every bed, oldest first; the newest of a bed stands. */
export function bedTrims(db: Db): BedTrim[] {
  return db
    .prepare(
      `SELECT at_ms AS atMs, who, why, bed AS bedId, trim_fraction AS trimFraction
       FROM bed_trim ORDER BY bed_trim_id`,
    )
    .all() as BedTrim[];
}
