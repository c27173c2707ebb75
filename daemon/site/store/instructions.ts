import type { StageMove } from '../../../calc/growth/stage-moves.ts';
import type { StageName } from '../../../calc/growth/stages.ts';
import type { AskedRotation } from '../../../calc/schedule/asked-rotations.ts';
import type { GivenWindAnswer } from '../../../calc/schedule/day-plan.ts';
import type { DayCall } from '../../../calc/sky/day-call.ts';
import type { Db } from './database.ts';

/** A day call as it is remembered: whose, and for which site day. */
export interface StoredDayCall extends DayCall {
  who: string;
  /** `YYYY-MM-DD` at the site. */
  siteDay: string;
}

export function addDayCall(db: Db, call: StoredDayCall): void {
  db.prepare(
    `INSERT INTO day_call (at_ms, who, site_day, hotter_k, wind_fraction, cloudier_fraction)
     VALUES (?, ?, ?, ?, ?, ?)`,
  ).run(call.atMs, call.who, call.siteDay, call.hotterK, call.windFraction, call.cloudierFraction);
}

/** The calls of a site day, oldest first; the newest stands. */
export function dayCallsOf(db: Db, siteDay: string): StoredDayCall[] {
  return db
    .prepare(
      `SELECT at_ms AS atMs, who, site_day AS siteDay, hotter_k AS hotterK,
         wind_fraction AS windFraction, cloudier_fraction AS cloudierFraction
       FROM day_call WHERE site_day = ? ORDER BY day_call_id`,
    )
    .all(siteDay) as StoredDayCall[];
}

/** An answer to the wind as it is remembered: for which site day. */
export interface StoredWindAnswer extends GivenWindAnswer {
  /** `YYYY-MM-DD` at the site. */
  siteDay: string;
}

export function addWindAnswer(db: Db, answer: StoredWindAnswer): void {
  db.prepare('INSERT INTO wind_answer (at_ms, who, site_day, answer) VALUES (?, ?, ?, ?)').run(
    answer.atMs,
    answer.who,
    answer.siteDay,
    answer.choice,
  );
}

/** The answers of a site day, oldest first; the newest stands. */
export function windAnswersOf(db: Db, siteDay: string): StoredWindAnswer[] {
  return db
    .prepare(
      `SELECT at_ms AS atMs, who, site_day AS siteDay, answer AS choice
       FROM wind_answer WHERE site_day = ? ORDER BY wind_answer_id`,
    )
    .all(siteDay) as StoredWindAnswer[];
}

export function addAskedRotation(db: Db, asked: AskedRotation): void {
  db.prepare('INSERT INTO asked_rotation (at_ms, who, bed, rotations) VALUES (?, ?, ?, ?)').run(
    asked.askedMs,
    asked.who,
    asked.bedId,
    asked.rotations,
  );
}

/** Rotations that persons asked for from an instant on, oldest first. */
export function askedRotationsSince(db: Db, fromMs: number): AskedRotation[] {
  return db
    .prepare(
      `SELECT at_ms AS askedMs, who, bed AS bedId, rotations
       FROM asked_rotation WHERE at_ms >= ? ORDER BY asked_rotation_id`,
    )
    .all(fromMs) as AskedRotation[];
}

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

/** Remembers that a person moved a bed, or a slow patch of it, to a stage. */
export function addStageMove(db: Db, move: StageMove): void {
  db.prepare(
    `INSERT INTO stage_move (at_ms, who, why, bed, patch, share_fraction, stage)
     VALUES (?, ?, ?, ?, ?, ?, ?)`,
  ).run(move.atMs, move.who, move.why, move.bedId, move.patch, move.shareFraction, move.stage);
}

/** Every move of every bed, oldest first. */
export function stageMoves(db: Db): StageMove[] {
  const rows = db
    .prepare(
      `SELECT at_ms AS atMs, who, why, bed AS bedId, patch, share_fraction AS shareFraction, stage
       FROM stage_move ORDER BY stage_move_id`,
    )
    .all() as (Omit<StageMove, 'stage'> & { stage: string })[];
  return rows.map((row) => ({ ...row, stage: row.stage as StageName }));
}
