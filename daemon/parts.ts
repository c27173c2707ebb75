import type { Logger } from 'pino';
import type { WeatherSource } from '../adapters/weather/source.ts';
import type { LoadedConfig } from './config/loaded-config.ts';
import type { UnwrittenHolds } from './delivery/unwritten-holds.ts';
import type { Db } from './store/database.ts';
import type { StoredPlan } from './store/plans.ts';

/** What a running daemon is made of. */
export interface DaemonParts {
  config: LoadedConfig;
  db: Db;
  weather: WeatherSource;
  log: Logger;
  now(): number;
  /** A clock that nobody sets; left out: that of the process. */
  steadyMs?(): number;
  /** Holds that the store has refused so far, and that wait to be written. */
  unwrittenHolds?: UnwrittenHolds;
  /** Called with each plan that the daemon makes. */
  onPlan?(stored: StoredPlan): void;
}
