import { onlyAdded } from './only-added.ts';

/** Corrections of records and readings of the meter: rows beside rows, none written over. */
export const RECORD_TABLES = `
  CREATE TABLE correction (
    correction_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    why TEXT NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('ran', 'water', 'meter')),
    subject TEXT NOT NULL,
    start_ms INTEGER NOT NULL,
    recorded REAL,
    correct REAL NOT NULL
  ) STRICT;

  CREATE TABLE meter_reading (
    meter_reading_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    read_ms INTEGER NOT NULL,
    volume_l REAL NOT NULL,
    note TEXT NOT NULL
  ) STRICT;
  ${onlyAdded(['correction', 'meter_reading'])}
  `;
