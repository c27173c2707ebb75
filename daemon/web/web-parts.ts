import type { Answer } from '../../adapters/contract.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { UnwrittenHold } from '../delivery/unwritten-holds.ts';
import type { OperationsView } from '../operations/operations-view.ts';
import type { Db } from '../store/database.ts';
import type { Sessions } from './safety/sessions.ts';

/** What the page is served from. */
export interface WebParts {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  now(): number;
  /** What is shown to those who watch over the process; left out: nothing. */
  view?: OperationsView;
  /** Stops water without the store, when that refuses a hold; left out: nothing can. */
  stopUnwritten?(hold: UnwrittenHold): Promise<ReadonlyMap<string, Answer>>;
  /** Told of faults that a person at the page cannot mend; left out: nobody is. */
  onFault?(error: unknown): void;
  /** Who has signed in: given, so that it outlives a reload; left out: nobody yet. */
  signIns?: Sessions;
  /** Has the daemon read its config again; left out: nobody can. */
  askReload?(): void;
  /** Folder of the bundled page; left out: where the build puts it. */
  assetFolder?: string;
}
