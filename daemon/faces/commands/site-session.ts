import type { WeatherSource } from '../../../adapters/weather/source.ts';
import { openWeather } from '../../site/config/open-weather.ts';
import type { Db } from '../../site/store/database.ts';
import { weatherMemory } from '../../site/store/weather-readings.ts';
import type { ConfigOption } from './config-option.ts';
import { type OpenedConfig, openConfig } from './open-config.ts';
import { openStore } from './open-store.ts';
import type { Shell } from './shell.ts';

/** A site opened for one command: its config, its memory and its weather. */
export interface SiteSession extends OpenedConfig {
  db: Db;
  weather: WeatherSource;
}

type Work<T> = (session: SiteSession) => T | Promise<T>;

/** Opens the site, hands it to the work, and closes the database whatever happens. */
export function withSite<T>(options: ConfigOption, shell: Shell, work: Work<T>): Promise<T> {
  return opened(options, shell, 'write', work);
}

/** The same for a command that only looks: it leaves no trace in a memory that was copied somewhere. */
export function readSite<T>(options: ConfigOption, shell: Shell, work: Work<T>): Promise<T> {
  return opened(options, shell, 'read', work);
}

async function opened<T>(
  options: ConfigOption,
  shell: Shell,
  use: 'read' | 'write',
  work: Work<T>,
): Promise<T> {
  const site = openConfig(options, shell);
  const db = openStore(site.config, { use, nowMs: shell.nowMs() });
  try {
    const memory = weatherMemory(db);
    const weather = openWeather(site.config, undefined, { now: shell.nowMs, memory });
    return await work({ ...site, db, weather });
  } finally {
    db.close();
  }
}
