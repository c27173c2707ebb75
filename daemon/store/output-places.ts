import type { Db } from './database.ts';
import { inTransaction } from './in-transaction.ts';

/** Where an output writes to, or wrote to: what stands there outlives the config that put it there. */
export interface OutputPlace {
  placeId: number;
  output: string;
  /** As `placeOfOutput` names it. */
  place: string;
  /** The output's part of the config, as JSON; secrets are named in it and do not stand in it. */
  config: string;
}

/** The place that an output, bound as a parameter, writes to now; null when it has none. */
export const OPEN_PLACE_OF_OUTPUT = `(
  SELECT max(p.output_place_id) FROM output_place p WHERE p.output = ?
    AND p.output_place_id NOT IN (SELECT output_place_id FROM output_place_left))`;

const COLUMNS = 'output_place_id AS placeId, output, place, config';

/** Places that are not known to be empty, oldest first. */
export function openPlaces(db: Db): OutputPlace[] {
  return db
    .prepare(
      `SELECT ${COLUMNS} FROM output_place
       WHERE output_place_id NOT IN (SELECT output_place_id FROM output_place_left)
       ORDER BY output_place_id`,
    )
    .all() as OutputPlace[];
}

/**
 * Remembers that outputs write to these places from now on. One that is known, and was not left, is
 * not added again; a later config of the same place is.
 */
export function addPlaces(
  db: Db,
  places: readonly Omit<OutputPlace, 'placeId'>[],
  atMs: number,
): void {
  const known = openPlaces(db);
  const fresh = places.filter(({ output, place, config }) => {
    const last = known.findLast((one) => one.output === output);
    return last?.place !== place || last.config !== config;
  });
  if (fresh.length === 0) return;
  inTransaction(db, () => {
    const add = db.prepare(
      'INSERT INTO output_place (at_ms, output, place, config) VALUES (?, ?, ?, ?)',
    );
    for (const { output, place, config } of fresh) add.run(atMs, output, place, config);
  });
}

/** Remembers that nothing of an output stands at a place any more, or why it is nobody's. */
export function leavePlace(db: Db, given: { placeId: number; atMs: number; why: string }): void {
  db.prepare(
    'INSERT OR IGNORE INTO output_place_left (output_place_id, at_ms, why) VALUES (?, ?, ?)',
  ).run(given.placeId, given.atMs, given.why);
}
