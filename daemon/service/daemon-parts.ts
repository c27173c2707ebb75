import type { Logger } from 'pino';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import type { UnwrittenHolds } from '../delivery/delivery-memory.ts';
import type { OpenOutput } from '../delivery/open-outputs.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import type { Db } from '../site/store/database.ts';
import type { StoredPlan } from '../site/store/plans.ts';
import type { Reckoner } from './reckoner/reckoner.ts';

/** What a running daemon is made of. */
export interface DaemonParts {
  config: LoadedConfig;
  db: Db;
  weather: WeatherSource;
  log: Logger;
  now(): number;
  /** Works plans out; left out: this process does. */
  reckoner?: Reckoner;
  /** A clock that nobody sets; left out: that of the process. */
  steadyMs?(): number;
  /** Stops that the store does not have yet, and that wait to be written. */
  unwrittenHolds?: UnwrittenHolds;
  /** How outputs are opened; left out: in this thread. */
  openOutput?: OpenOutput;
  /** Called when a place that was left is empty, and its output gone. */
  onLeft?(): void;
  /** Called with each plan that the daemon makes. */
  onPlan?(stored: StoredPlan): void;
}
