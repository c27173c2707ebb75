import { BINDING_TABLE, LOOK_TABLES, onlyAdded, RECORD_TABLES } from './record-tables.ts';

/**
 * Forward migrations, in order; the index plus one is the version they lead to. A migration that
 * has shipped is never edited: the next change is a new entry.
 *
 * Every table is only ever added to. Corrections are new rows; triggers refuse the rest.
 */
export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE plan (
    plan_id INTEGER PRIMARY KEY,
    site_day TEXT NOT NULL,
    revision INTEGER NOT NULL,
    cause TEXT NOT NULL CHECK (cause IN ('morning', 'person')),
    made_at_ms INTEGER NOT NULL,
    digest TEXT NOT NULL,
    plan TEXT NOT NULL,
    last_hold_id INTEGER NOT NULL,
    UNIQUE (site_day, revision)
  ) STRICT;
  CREATE UNIQUE INDEX plan_one_morning ON plan (site_day) WHERE cause = 'morning';

  CREATE TABLE confirmation (
    confirmation_id INTEGER PRIMARY KEY,
    plan_id INTEGER NOT NULL UNIQUE REFERENCES plan,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    cautions TEXT NOT NULL
  ) STRICT;

  CREATE TABLE hold (
    hold_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    why TEXT NOT NULL,
    beds TEXT NOT NULL,
    until_ms INTEGER,
    in_force_id INTEGER REFERENCES confirmation
  ) STRICT;

  CREATE TABLE plan_lifts (
    plan_id INTEGER NOT NULL REFERENCES plan,
    hold_id INTEGER NOT NULL REFERENCES hold,
    PRIMARY KEY (plan_id, hold_id)
  ) STRICT;

  CREATE TABLE hold_lift (
    hold_id INTEGER NOT NULL PRIMARY KEY REFERENCES hold,
    confirmation_id INTEGER NOT NULL REFERENCES confirmation
  ) STRICT;

  CREATE TABLE owed (
    order_id TEXT NOT NULL,
    output TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('deliver', 'withdraw')),
    confirmation_id INTEGER REFERENCES confirmation,
    hold_id INTEGER REFERENCES hold,
    at_ms INTEGER NOT NULL,
    valid_until_ms INTEGER NOT NULL,
    PRIMARY KEY (order_id, output)
  ) STRICT;

  CREATE TABLE attempt (
    attempt_id INTEGER PRIMARY KEY,
    order_id TEXT NOT NULL,
    output TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    answer TEXT NOT NULL CHECK (answer IN ('accepted', 'rejected', 'unknown', 'lapsed', 'superseded')),
    detail TEXT NOT NULL
  ) STRICT;
  CREATE INDEX attempt_order ON attempt (order_id, output);

  CREATE TABLE field_report (
    report_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    output TEXT NOT NULL,
    report TEXT NOT NULL
  ) STRICT;

  CREATE TABLE step (
    step_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    kind TEXT NOT NULL,
    who TEXT NOT NULL,
    site_day TEXT,
    revision INTEGER,
    digest TEXT,
    what TEXT NOT NULL
  ) STRICT;
  ${onlyAdded([
    'plan',
    'confirmation',
    'hold',
    'plan_lifts',
    'hold_lift',
    'owed',
    'attempt',
    'field_report',
    'step',
  ])}
  `,
  `
  CREATE TABLE stage_move (
    stage_move_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    why TEXT NOT NULL,
    bed TEXT NOT NULL,
    patch TEXT,
    share_fraction REAL,
    stage TEXT NOT NULL
  ) STRICT;
  CREATE INDEX stage_move_bed ON stage_move (bed);

  CREATE TABLE day_call (
    day_call_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    site_day TEXT NOT NULL,
    hotter_k REAL NOT NULL,
    wind_fraction REAL NOT NULL,
    cloudier_fraction REAL NOT NULL
  ) STRICT;
  CREATE INDEX day_call_day ON day_call (site_day);

  CREATE TABLE hand_water (
    hand_water_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    bed TEXT NOT NULL,
    station TEXT,
    start_ms INTEGER NOT NULL,
    run_s REAL NOT NULL,
    gross_mm REAL NOT NULL
  ) STRICT;
  CREATE INDEX hand_water_start ON hand_water (start_ms);
  ${onlyAdded(['stage_move', 'day_call', 'hand_water'])}
  `,
  `
  CREATE TABLE keep_off (
    keep_off_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    why TEXT NOT NULL,
    beds TEXT NOT NULL,
    until_ms INTEGER,
    label_interval_s REAL NOT NULL
  ) STRICT;

  CREATE TABLE keep_off_end (
    keep_off_end_id INTEGER PRIMARY KEY,
    keep_off_id INTEGER NOT NULL REFERENCES keep_off,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    by_mistake INTEGER NOT NULL CHECK (by_mistake IN (0, 1))
  ) STRICT;
  CREATE INDEX keep_off_end_of ON keep_off_end (keep_off_id);
  ${onlyAdded(['keep_off', 'keep_off_end'])}
  `,
  `
  CREATE TABLE weather_reading (
    weather_reading_id INTEGER PRIMARY KEY,
    source TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    content TEXT NOT NULL
  ) STRICT;
  CREATE INDEX weather_reading_at ON weather_reading (source, at_ms);
  ${onlyAdded(['weather_reading'])}
  `,
  `
  CREATE TABLE run_event (
    run_event_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    output TEXT NOT NULL,
    run_id TEXT NOT NULL,
    order_id TEXT NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('claimed', 'missed', 'accepted', 'rejected', 'unknown')),
    detail TEXT NOT NULL
  ) STRICT;
  CREATE UNIQUE INDEX run_event_once ON run_event (output, run_id)
    WHERE what IN ('claimed', 'missed');
  ${onlyAdded(['run_event'])}
  `,
  // SQLite cannot alter a CHECK: the table is made anew, its rows carried over. Rows of other tables
  // point at it throughout, so their keys are looked at when all of it is done.
  `
  PRAGMA defer_foreign_keys = ON;
  CREATE TEMP TABLE plan_before AS SELECT * FROM plan;
  DROP TABLE plan;
  CREATE TABLE plan (
    plan_id INTEGER PRIMARY KEY,
    site_day TEXT NOT NULL,
    revision INTEGER NOT NULL,
    cause TEXT NOT NULL CHECK (cause IN ('morning', 'person', 'weather', 'restart', 'hold_over')),
    made_at_ms INTEGER NOT NULL,
    digest TEXT NOT NULL,
    plan TEXT NOT NULL,
    last_hold_id INTEGER NOT NULL,
    UNIQUE (site_day, revision)
  ) STRICT;
  INSERT INTO plan SELECT plan_id, site_day, revision, cause, made_at_ms, digest, plan, last_hold_id
    FROM plan_before ORDER BY plan_id;
  DROP TABLE plan_before;
  CREATE UNIQUE INDEX plan_one_morning ON plan (site_day) WHERE cause = 'morning';

  CREATE TABLE news (
    news_id INTEGER PRIMARY KEY,
    key TEXT NOT NULL UNIQUE,
    at_ms INTEGER NOT NULL,
    kind TEXT NOT NULL,
    text TEXT NOT NULL,
    site_day TEXT NOT NULL,
    revision INTEGER,
    digest TEXT
  ) STRICT;

  CREATE TABLE news_try (
    news_try_id INTEGER PRIMARY KEY,
    news_id INTEGER NOT NULL REFERENCES news,
    listener TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    took INTEGER NOT NULL CHECK (took IN (0, 1)),
    detail TEXT NOT NULL
  ) STRICT;
  CREATE INDEX news_try_of ON news_try (news_id, listener);
  ${onlyAdded(['plan', 'news', 'news_try'])}
  `,
  `
  ALTER TABLE field_report ADD COLUMN order_id TEXT;
  ALTER TABLE field_report ADD COLUMN ran_key TEXT;
  CREATE INDEX field_report_order ON field_report (order_id);
  CREATE UNIQUE INDEX field_report_ran_once ON field_report (ran_key);
  `,
  `
  CREATE TABLE bed_trim (
    bed_trim_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    why TEXT NOT NULL,
    bed TEXT NOT NULL,
    trim_fraction REAL NOT NULL
  ) STRICT;

  CREATE TABLE asked_rotation (
    asked_rotation_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    bed TEXT NOT NULL,
    rotations INTEGER NOT NULL
  ) STRICT;
  ${onlyAdded(['bed_trim', 'asked_rotation'])}
  `,
  LOOK_TABLES,
  RECORD_TABLES,
  `
  CREATE TABLE wind_answer (
    wind_answer_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    who TEXT NOT NULL,
    site_day TEXT NOT NULL,
    answer TEXT NOT NULL
  ) STRICT;
  CREATE INDEX wind_answer_day ON wind_answer (site_day);
  ${onlyAdded(['wind_answer'])}
  `,
  `
  CREATE TABLE output_place (
    output_place_id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    output TEXT NOT NULL,
    place TEXT NOT NULL,
    config TEXT NOT NULL
  ) STRICT;

  CREATE TABLE output_place_left (
    output_place_id INTEGER PRIMARY KEY REFERENCES output_place,
    at_ms INTEGER NOT NULL,
    why TEXT NOT NULL
  ) STRICT;

  ALTER TABLE owed ADD COLUMN output_place_id INTEGER;
  ${onlyAdded(['output_place', 'output_place_left'])}
  `,
  BINDING_TABLE,
  `
  CREATE TABLE kept_forecast (
    kept_forecast_id INTEGER PRIMARY KEY,
    made_ms INTEGER NOT NULL,
    site_day TEXT NOT NULL UNIQUE,
    hours TEXT NOT NULL
  ) STRICT;
  CREATE INDEX kept_forecast_made ON kept_forecast (made_ms);

  CREATE TABLE forecast_error (
    forecast_error_id INTEGER PRIMARY KEY,
    kept_forecast_id INTEGER NOT NULL REFERENCES kept_forecast,
    at_ms INTEGER NOT NULL, lead_from_h INTEGER NOT NULL, lead_to_h INTEGER NOT NULL,
    air_temp_k REAL, dew_point_k REAL, wind_log REAL, sun_fraction REAL,
    UNIQUE (kept_forecast_id, lead_from_h)
  ) STRICT;
  ${onlyAdded(['kept_forecast', 'forecast_error'])}
  `,
  `
  CREATE TABLE foretold_hour (
    start_ms INTEGER PRIMARY KEY,
    told_ms INTEGER NOT NULL,
    air_temp_c REAL NOT NULL,
    vapour_pressure_kpa REAL NOT NULL,
    wind_m_per_s REAL NOT NULL,
    solar_mj_per_m2 REAL NOT NULL
  ) STRICT;
  ${onlyAdded(['foretold_hour'])}
  `,
  // How far a person let the day be followed with a confirm, and each use of it.
  `
  CREATE TABLE leeway_given (
    confirmation_id INTEGER PRIMARY KEY REFERENCES confirmation,
    beds TEXT NOT NULL
  ) STRICT;

  CREATE TABLE leeway_use (
    leeway_use_id INTEGER PRIMARY KEY,
    confirmation_id INTEGER NOT NULL REFERENCES confirmation,
    number INTEGER NOT NULL,
    at_ms INTEGER NOT NULL,
    cycles TEXT NOT NULL,
    UNIQUE (confirmation_id, number)
  ) STRICT;
  ${onlyAdded(['leeway_given', 'leeway_use'])}
  `,
];
