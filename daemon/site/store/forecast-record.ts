import type { ForecastError, ForetoldHour } from '../../../calc/futures/error-record.ts';
import { type Db, inTransaction } from './database.ts';

/** What was foretold at an instant, as it was planned on. */
export interface KeptForecast {
  keptForecastId: number;
  madeMs: number;
  hours: ForetoldHour[];
  /** Beginnings of the stretches of lead time of which the errors are kept, hours. */
  leadsTold: number[];
}

/** An hour on one line: its beginning after the first one's in hours, then its values. */
type PackedHour = [number, number, number, number, number];

const HOUR_MS = 3_600_000;
const rounded = (value: number, digits: number) => Number(value.toFixed(digits));

/** Keeps what a site day is planned on; a second one of the day is left out. */
export function keepForecast(
  db: Db,
  kept: { madeMs: number; siteDay: string; hours: readonly ForetoldHour[] },
): void {
  const [first] = kept.hours;
  if (first === undefined) return;
  const content = {
    startMs: first.startMs,
    hours: kept.hours.map(
      (hour): PackedHour => [
        (hour.startMs - first.startMs) / HOUR_MS,
        rounded(hour.airTempC, 2),
        rounded(hour.vapourPressureKPa, 4),
        rounded(hour.windMPerS, 2),
        rounded(hour.solarMjPerM2, 3),
      ],
    ),
  };
  db.prepare('INSERT OR IGNORE INTO kept_forecast (made_ms, site_day, hours) VALUES (?, ?, ?)').run(
    Math.round(kept.madeMs),
    kept.siteDay,
    JSON.stringify(content),
  );
}

/** Whether what a site day is planned on is kept. */
export function hasKeptForecast(db: Db, siteDay: string): boolean {
  return db.prepare('SELECT 1 FROM kept_forecast WHERE site_day = ?').get(siteDay) !== undefined;
}

/** Forecasts made since an instant, oldest first. */
export function keptForecastsSince(db: Db, fromMs: number): KeptForecast[] {
  const rows = db
    .prepare(
      `SELECT kept_forecast_id AS id, made_ms AS madeMs, hours FROM kept_forecast
       WHERE made_ms >= ? ORDER BY made_ms, kept_forecast_id`,
    )
    .all(fromMs) as { id: number; madeMs: number; hours: string }[];
  const told = db.prepare(
    'SELECT lead_from_h AS leadFromH FROM forecast_error WHERE kept_forecast_id = ?',
  );
  return rows.map(({ id, madeMs, hours }) => ({
    keptForecastId: id,
    madeMs,
    hours: unpacked(hours),
    leadsTold: (told.all(id) as { leadFromH: number }[]).map(({ leadFromH }) => leadFromH),
  }));
}

function unpacked(text: string): ForetoldHour[] {
  const { startMs, hours } = JSON.parse(text) as { startMs: number; hours: PackedHour[] };
  return hours.map(([after, airTempC, vapourPressureKPa, windMPerS, solarMjPerM2]) => ({
    startMs: startMs + after * HOUR_MS,
    airTempC,
    vapourPressureKPa,
    windMPerS,
    solarMjPerM2,
  }));
}

/** Adds errors of a kept forecast; what is told already of a stretch stands. */
export function addForecastErrors(
  db: Db,
  {
    keptForecastId,
    atMs,
    errors,
  }: { keptForecastId: number; atMs: number; errors: readonly ForecastError[] },
): void {
  const add = db.prepare(
    `INSERT OR IGNORE INTO forecast_error (kept_forecast_id, at_ms, lead_from_h, lead_to_h,
       air_temp_k, dew_point_k, wind_log, sun_fraction) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  inTransaction(db, () => {
    for (const error of errors) {
      const { leadFromH, leadToH, airTempK, dewPointK, windLog, sunFraction } = error;
      const values = [airTempK, dewPointK, windLog, sunFraction];
      add.run(keptForecastId, Math.round(atMs), leadFromH, leadToH, ...values);
    }
  });
}

/** The site's record of errors of forecasts made since an instant, oldest first. */
export function forecastRecord(db: Db, fromMs: number): ForecastError[] {
  return db
    .prepare(
      `SELECT kept_forecast.made_ms AS madeMs, lead_from_h AS leadFromH, lead_to_h AS leadToH,
         air_temp_k AS airTempK, dew_point_k AS dewPointK, wind_log AS windLog,
         sun_fraction AS sunFraction
       FROM forecast_error JOIN kept_forecast USING (kept_forecast_id)
       WHERE kept_forecast.made_ms >= ? ORDER BY kept_forecast.made_ms, lead_from_h`,
    )
    .all(fromMs) as ForecastError[];
}

/** Keeps what is foretold of hours to come; what was told first of an hour stands. */
export function noteForetold(
  db: Db,
  { hours, toldMs }: { hours: readonly ForetoldHour[]; toldMs: number },
): void {
  const add = db.prepare(
    `INSERT OR IGNORE INTO foretold_hour (start_ms, told_ms, air_temp_c, vapour_pressure_kpa,
       wind_m_per_s, solar_mj_per_m2) VALUES (?, ?, ?, ?, ?, ?)`,
  );
  for (const { startMs, airTempC, vapourPressureKPa, windMPerS, solarMjPerM2 } of hours) {
    const values = [airTempC, vapourPressureKPa, windMPerS, solarMjPerM2];
    add.run(startMs, Math.round(toldMs), ...values);
  }
}

/** What was foretold of the hours from an instant on, oldest first. */
export function foretoldSince(db: Db, fromMs: number): ForetoldHour[] {
  return db
    .prepare(
      `SELECT start_ms AS startMs, air_temp_c AS airTempC, vapour_pressure_kpa AS vapourPressureKPa,
         wind_m_per_s AS windMPerS, solar_mj_per_m2 AS solarMjPerM2
       FROM foretold_hour WHERE start_ms >= ? ORDER BY start_ms`,
    )
    .all(Math.round(fromMs)) as ForetoldHour[];
}
