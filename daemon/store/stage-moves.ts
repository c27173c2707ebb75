import type { StageMove } from '../../calc/growth/bed-standing.ts';
import type { StageName } from '../../calc/growth/stages.ts';
import type { Db } from './database.ts';

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
