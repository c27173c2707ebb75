import type { DayCall } from '../../calc/sky/day-call.ts';
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
