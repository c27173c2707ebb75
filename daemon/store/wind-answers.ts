import type { GivenWindAnswer } from '../../calc/schedule/wind-answers.ts';
import type { Db } from './database.ts';

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
