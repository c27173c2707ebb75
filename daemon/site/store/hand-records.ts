import type { HandWater } from '../../../calc/schedule/run.ts';
import type { Db } from './database.ts';

/** Hand watering as it was logged: by whom, and when they said so. */
export interface StoredHandWater extends HandWater {
  who: string;
  /** When it was logged, which may be hours after it was given. */
  atMs: number;
}

const HAND_WATER_COLUMNS =
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
    .prepare(`SELECT ${HAND_WATER_COLUMNS} FROM hand_water WHERE start_ms >= ? ORDER BY start_ms`)
    .all(fromMs) as StoredHandWater[];
}

/** When the first of what was logged from an instant on was given, or null. */
export function firstGivenOfLogged(db: Db, loggedFromMs: number): number | null {
  const row = db
    .prepare('SELECT min(start_ms) AS firstMs FROM hand_water WHERE at_ms >= ?')
    .get(loggedFromMs) as { firstMs: number | null };
  return row.firstMs;
}

/** What a person read on the water meter. */
export interface MeterReading {
  meterReadingId: number;
  /** When it was put down. */
  atMs: number;
  who: string;
  /** When it was read. */
  readMs: number;
  volumeL: number;
  note: string;
}

export function addMeterReading(db: Db, reading: Omit<MeterReading, 'meterReadingId'>): void {
  db.prepare(
    'INSERT INTO meter_reading (at_ms, who, read_ms, volume_l, note) VALUES (?, ?, ?, ?, ?)',
  ).run(reading.atMs, reading.who, reading.readMs, reading.volumeL, reading.note);
}

/** Every reading, in the order in which they were read. */
export function meterReadings(db: Db): MeterReading[] {
  return db
    .prepare(
      `SELECT meter_reading_id AS meterReadingId, at_ms AS atMs, who, read_ms AS readMs,
         volume_l AS volumeL, note
       FROM meter_reading ORDER BY read_ms, meter_reading_id`,
    )
    .all() as MeterReading[];
}

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

const CORRECTION_COLUMNS =
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
    .prepare(`SELECT ${CORRECTION_COLUMNS} FROM correction ORDER BY correction_id`)
    .all() as Correction[];
}
