import type { StageName } from '../../../calc/growth/stages.ts';
import type { Surface } from '../../../calc/looks/look-evidence.ts';
import type { Db } from './database.ts';

/** What was expected of a bed at a look, from the weather and the water of the day before alone. */
export interface StoredExpectation {
  /** Part of the store that was left, in the middle of what its sand may be; 0 or less: dry. */
  leftFraction: number;
  /** The same by the probe, when there was a reading within the sand. */
  probeLeftFraction: number | null;
  /** By each member of the bed's library; null: its store was stated, or older than libraries. */
  byMembers: ExpectedByMembers | null;
}

/** Parts of the store by each member of a library, in its order. */
export interface ExpectedByMembers {
  /** A look counts for the library that it was held against, and for no other. */
  libraryDigest: string;
  leftFractions: number[];
  /** What the probe's reading says in each member's sand; null: there was none within it. */
  readFractions: number[] | null;
}

/** What a person saw on a bed. What was not looked at is null. */
export interface SeenOnBed {
  bedId: string;
  seenMs: number;
  surface: Surface | null;
  coverFraction: number | null;
  leafMm: number | null;
  rootMm: number | null;
  /** Volume of water in a volume of sand, and the depth of the reading. */
  probeFraction: number | null;
  probeDepthMm: number | null;
  photo: string | null;
  note: string | null;
}

export interface StoredLook extends SeenOnBed {
  lookId: number;
  /** When it was logged. */
  atMs: number;
  who: string;
  /** Stage of the bed as it was logged. */
  stage: StageName;
  /** Null when nothing could be expected: no plan or no weather to reckon from. */
  expected: StoredExpectation | null;
  /** When it was taken back, and by whom. */
  undoneMs: number | null;
  undoneBy: string | null;
}

interface Row extends Omit<StoredLook, 'expected'> {
  expected: string | null;
}

const SELECT = `
  SELECT l.look_id AS lookId, l.at_ms AS atMs, l.who, l.bed AS bedId, l.seen_ms AS seenMs, l.stage,
    l.surface, l.cover_fraction AS coverFraction, l.leaf_mm AS leafMm, l.root_mm AS rootMm,
    l.probe_fraction AS probeFraction, l.probe_depth_mm AS probeDepthMm, l.photo, l.note, l.expected,
    u.at_ms AS undoneMs, u.who AS undoneBy
  FROM look l LEFT JOIN look_undo u ON u.look_id = l.look_id`;

export function addLook(
  db: Db,
  look: Omit<StoredLook, 'lookId' | 'undoneMs' | 'undoneBy'>,
): number {
  const { lastInsertRowid } = db
    .prepare(
      `INSERT INTO look (at_ms, who, bed, seen_ms, stage, surface, cover_fraction, leaf_mm, root_mm,
        probe_fraction, probe_depth_mm, photo, note, expected)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
    )
    .run(
      look.atMs,
      look.who,
      look.bedId,
      look.seenMs,
      look.stage,
      look.surface,
      look.coverFraction,
      look.leafMm,
      look.rootMm,
      look.probeFraction,
      look.probeDepthMm,
      look.photo,
      look.note,
      look.expected === null ? null : JSON.stringify(look.expected),
    );
  return Number(lastInsertRowid);
}

/** Remembers that a person took a look back. */
export function addLookUndo(db: Db, undo: { lookId: number; atMs: number; who: string }): void {
  db.prepare('INSERT INTO look_undo (look_id, at_ms, who) VALUES (?, ?, ?)').run(
    undo.lookId,
    undo.atMs,
    undo.who,
  );
}

/** Every look, taken back or not, in the order in which they were seen. */
export function everyLook(db: Db): StoredLook[] {
  return (db.prepare(`${SELECT} ORDER BY l.seen_ms, l.look_id`).all() as Row[]).map(read);
}

export function lookById(db: Db, lookId: number): StoredLook | null {
  const row = db.prepare(`${SELECT} WHERE l.look_id = ?`).get(lookId);
  return row === undefined ? null : read(row as Row);
}

/** When the first of the looks was seen that were logged, or taken back, from an instant on; or null. */
export function firstSeenOfLogged(db: Db, loggedFromMs: number): number | null {
  const row = db
    .prepare(
      `SELECT min(l.seen_ms) AS firstMs FROM look l LEFT JOIN look_undo u ON u.look_id = l.look_id
       WHERE l.at_ms >= ? OR u.at_ms >= ?`,
    )
    .get(loggedFromMs, loggedFromMs) as { firstMs: number | null };
  return row.firstMs;
}

function read(row: Row): StoredLook {
  return { ...row, expected: row.expected === null ? null : readExpectation(row.expected) };
}

/** Looks kept by versions before libraries have other parts: of them what was left stays. */
function readExpectation(text: string): StoredExpectation {
  const kept = JSON.parse(text) as Pick<StoredExpectation, 'leftFraction'> &
    Partial<StoredExpectation>;
  return {
    leftFraction: kept.leftFraction,
    probeLeftFraction: kept.probeLeftFraction ?? null,
    byMembers: kept.byMembers ?? null,
  };
}

/** A bed that was seen dry, and how it came on since. */
interface DryingEvent {
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
