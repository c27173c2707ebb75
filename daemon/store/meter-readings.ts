import type { Db } from './database.ts';

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
