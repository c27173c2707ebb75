import type { AskedRotation } from '../../calc/schedule/asked-rotations.ts';
import type { Db } from './database.ts';

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
