import type { WeatherSource } from '../../adapters/weather/source.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { Db } from '../store/database.ts';

/** What planning works with. */
export interface PlanningContext {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  nowMs: number;
}
