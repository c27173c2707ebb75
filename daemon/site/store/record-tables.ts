/** Triggers that refuse to change or to take away a row of these tables. */
export function onlyAdded(tables: readonly string[]): string {
  return tables
    .flatMap((table) =>
      ['UPDATE', 'DELETE'].map(
        (verb) => `
  CREATE TRIGGER ${table}_no_${verb.toLowerCase()} BEFORE ${verb} ON ${table}
  BEGIN SELECT RAISE(ABORT, '${table} is only ever added to'); END;`,
      ),
    )
    .join('');
}

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

/** Which site a store belongs to, and where it has lain; and the way from a confirm to its step. */
export const BINDING_TABLE = `
  CREATE TABLE store_binding (
    store_binding_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    store_id TEXT NOT NULL,
    site_id TEXT NOT NULL,
    folder TEXT NOT NULL,
    device TEXT NOT NULL,
    inode TEXT NOT NULL
  ) STRICT;
  ${onlyAdded(['store_binding'])}
  CREATE INDEX step_digest ON step (digest);
  `;
