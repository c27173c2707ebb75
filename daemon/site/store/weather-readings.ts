import type { KeptWeather, WeatherMemory } from '../../../adapters/weather/source.ts';
import { type Db, inTransaction, withoutWaiting } from './database.ts';

/** Readings that cannot be written now are offered again. */
const BUSY_MS = 100;

/** What weather sources want to find again after a restart, in the database. */
export function weatherMemory(db: Db): WeatherMemory {
  return {
    remember(source, entries) {
      const add = db.prepare(
        'INSERT INTO weather_reading (source, at_ms, content) VALUES (?, ?, ?)',
      );
      const write = () => {
        for (const { atMs, content } of entries) add.run(source, Math.round(atMs), content);
      };
      withoutWaiting(db, BUSY_MS, () => inTransaction(db, write));
    },
    recall: (source, { fromMs, toMs }) =>
      db
        .prepare(
          `SELECT at_ms AS atMs, content FROM weather_reading
           WHERE source = ? AND at_ms >= ? AND at_ms < ? ORDER BY at_ms, weather_reading_id`,
        )
        .all(source, fromMs, toMs) as KeptWeather[],
    newest: (source) =>
      (db
        .prepare(
          `SELECT at_ms AS atMs, content FROM weather_reading
           WHERE source = ? ORDER BY at_ms DESC, weather_reading_id DESC LIMIT 1`,
        )
        .get(source) as KeptWeather | undefined) ?? null,
  };
}
