import { onlyAdded } from './only-added.ts';

/** The migration that brings the tables of looks. It has shipped: the next change is a new entry. */
export const LOOK_TABLES = `
  CREATE TABLE look (
    look_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    bed TEXT NOT NULL,
    seen_ms INTEGER NOT NULL,
    stage TEXT NOT NULL,
    surface TEXT CHECK (surface IN ('dark', 'lightening', 'dry', 'puddle', 'wash')),
    cover_fraction REAL,
    leaf_mm REAL,
    root_mm REAL,
    probe_fraction REAL,
    probe_depth_mm REAL,
    photo TEXT,
    note TEXT,
    expected TEXT
  ) STRICT;
  CREATE INDEX look_of_bed ON look (bed, seen_ms);

  CREATE TABLE look_undo (
    look_undo_id INTEGER PRIMARY KEY,
    look_id INTEGER NOT NULL UNIQUE REFERENCES look,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL
  ) STRICT;

  CREATE TABLE drying_event (
    drying_event_id INTEGER PRIMARY KEY,
    look_id INTEGER NOT NULL UNIQUE REFERENCES look,
    bed TEXT NOT NULL,
    seen_ms INTEGER NOT NULL,
    stage TEXT NOT NULL,
    expected_left_fraction REAL
  ) STRICT;
  CREATE INDEX drying_event_of_bed ON drying_event (bed, seen_ms);
  ${onlyAdded(['look', 'look_undo', 'drying_event'])}
  `;
