import type { KeptWeather, WeatherMemory } from '../../adapters/weather/source.ts';
import type { Db } from './database.ts';
import { inTransaction } from './in-transaction.ts';

/** What weather sources want to find again after a restart, in the database. */
export function weatherMemory(db: Db): WeatherMemory {
  return {
    remember(source, entries) {
      const add = db.prepare(
        'INSERT INTO weather_reading (source, at_ms, content) VALUES (?, ?, ?)',
      );
      inTransaction(db, () => {
        for (const { atMs, content } of entries) add.run(source, Math.round(atMs), content);
      });
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
