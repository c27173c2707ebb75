import type { HandWater } from '../../calc/schedule/hand-water.ts';
import type { Db } from './database.ts';

/** Hand watering as it was logged: by whom, and when they said so. */
export interface StoredHandWater extends HandWater {
  who: string;
  /** When it was logged, which may be hours after it was given. */
  atMs: number;
}

const COLUMNS =
  'at_ms AS atMs, who, bed AS bedId, station AS stationId, start_ms AS startMs, run_s AS runS, gross_mm AS grossMm';

export function addHandWater(db: Db, water: StoredHandWater): void {
  db.prepare(
    `INSERT INTO hand_water (at_ms, who, bed, station, start_ms, run_s, gross_mm)
     VALUES (?, ?, ?, ?, ?, ?, ?)`,
  ).run(
    water.atMs,
    water.who,
    water.bedId,
    water.stationId,
    water.startMs,
    water.runS,
    water.grossMm,
  );
}

/** What was given by hand from an instant on, in order of time. */
export function handWaterSince(db: Db, fromMs: number): StoredHandWater[] {
  return db
    .prepare(`SELECT ${COLUMNS} FROM hand_water WHERE start_ms >= ? ORDER BY start_ms`)
    .all(fromMs) as StoredHandWater[];
}

/** When the first of what was logged from an instant on was given, or null. */
export function firstGivenOfLogged(db: Db, loggedFromMs: number): number | null {
  const row = db
    .prepare('SELECT min(start_ms) AS firstMs FROM hand_water WHERE at_ms >= ?')
    .get(loggedFromMs) as { firstMs: number | null };
  return row.firstMs;
}
