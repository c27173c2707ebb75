import type { WeatherSource } from '../../adapters/weather/source.ts';
import { openWeather } from '../planning/open-weather.ts';
import { type Db, openDatabase } from '../store/database.ts';
import { weatherMemory } from '../store/weather-readings.ts';
import { type ConfigOption, type OpenedConfig, openConfig } from './open-config.ts';
import type { Shell } from './shell.ts';

/** A site opened for one command: its config, its memory and its weather. */
export interface SiteSession extends OpenedConfig {
  db: Db;
  weather: WeatherSource;
}

/** Opens the site, hands it to the work, and closes the database whatever happens. */
export async function withSite<T>(
  options: ConfigOption,
  shell: Shell,
  work: (session: SiteSession) => T | Promise<T>,
): Promise<T> {
  const opened = openConfig(options, shell);
  const { config } = opened;
  const db = openDatabase(config.dataFolder);
  try {
    const memory = weatherMemory(db);
    const weather = openWeather(config, undefined, { now: shell.nowMs, memory });
    return await work({ ...opened, db, weather });
  } finally {
    db.close();
  }
}

/** `-c FILE` as the person must repeat it in the next command, or nothing for the default. */
export function repeatConfig(options: ConfigOption): string {
  return options.config === undefined ? '' : ` -c ${options.config}`;
}
