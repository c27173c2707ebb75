import type { StageName } from '../../calc/growth/stages.ts';
import type { Db } from './database.ts';

/** A bed that was seen dry, and how it came on since. */
export interface DryingEvent {
  dryingEventId: number;
  lookId: number;
  bedId: string;
  seenMs: number;
  who: string;
  stage: StageName;
  /** Part of the store that was expected to be left; null when nothing was. */
  expectedLeftFraction: number | null;
  /** Looks at the bed's cover since then, oldest first: what the drying may have cost. */
  coverSince: { lookId: number; seenMs: number; coverFraction: number }[];
}

export function addDryingEvent(
  db: Db,
  event: Pick<DryingEvent, 'lookId' | 'bedId' | 'seenMs' | 'stage' | 'expectedLeftFraction'>,
): void {
  db.prepare(
    `INSERT INTO drying_event (look_id, bed, seen_ms, stage, expected_left_fraction)
     VALUES (?, ?, ?, ?, ?)`,
  ).run(event.lookId, event.bedId, event.seenMs, event.stage, event.expectedLeftFraction);
}

/**
 * Drying events of a stretch of time, in order, each with the looks at the bed's cover that came
 * after it. One whose look was taken back is left out, and so are such looks at the cover.
 */
export function dryingEvents(db: Db, asked: { fromMs: number; toMs: number }): DryingEvent[] {
  const events = db
    .prepare(
      `SELECT e.drying_event_id AS dryingEventId, e.look_id AS lookId, e.bed AS bedId,
         e.seen_ms AS seenMs, l.who, e.stage, e.expected_left_fraction AS expectedLeftFraction
       FROM drying_event e JOIN look l ON l.look_id = e.look_id
       LEFT JOIN look_undo u ON u.look_id = e.look_id
       WHERE u.look_id IS NULL AND e.seen_ms >= ? AND e.seen_ms < ? ORDER BY e.seen_ms`,
    )
    .all(asked.fromMs, asked.toMs) as Omit<DryingEvent, 'coverSince'>[];
  const covers = db.prepare(
    `SELECT l.look_id AS lookId, l.seen_ms AS seenMs, l.cover_fraction AS coverFraction
     FROM look l LEFT JOIN look_undo u ON u.look_id = l.look_id
     WHERE u.look_id IS NULL AND l.bed = ? AND l.seen_ms > ? AND l.cover_fraction IS NOT NULL
     ORDER BY l.seen_ms`,
  );
  return events.map((event) => ({
    ...event,
    coverSince: covers.all(event.bedId, event.seenMs) as DryingEvent['coverSince'],
  }));
}
