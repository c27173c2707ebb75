import type { Db } from './database.ts';

/** What can be put right: a closed list. */
export const CORRECTED_KINDS = ['ran', 'water', 'meter'] as const;

export type CorrectedKind = (typeof CORRECTED_KINDS)[number];

/**
 * A row that puts another right; the row that it speaks of stays as it is. `ran`: seconds that a
 * station ran; `water`: mm over the bed, or seconds of a station, given by hand; `meter`: litres.
 */
export interface Correction {
  correctionId: number;
  atMs: number;
  who: string;
  why: string;
  what: CorrectedKind;
  /** The station, or the bed of water by hose; empty for the meter. */
  subject: string;
  /** When what it speaks of began, or was read. */
  startMs: number;
  /** What stood before, in the unit of its kind; null: nothing did. */
  recorded: number | null;
  correct: number;
}

const COLUMNS =
  'correction_id AS correctionId, at_ms AS atMs, who, why, what, subject, start_ms AS startMs, recorded, correct';

export function addCorrection(db: Db, row: Omit<Correction, 'correctionId'>): number {
  const { lastInsertRowid } = db
    .prepare(
      `INSERT INTO correction (at_ms, who, why, what, subject, start_ms, recorded, correct)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
    )
    .run(row.atMs, row.who, row.why, row.what, row.subject, row.startMs, row.recorded, row.correct);
  return Number(lastInsertRowid);
}

/** Every correction, oldest first: of the same thing the newest counts. */
export function corrections(db: Db): Correction[] {
  return db
    .prepare(`SELECT ${COLUMNS} FROM correction ORDER BY correction_id`)
    .all() as Correction[];
}
