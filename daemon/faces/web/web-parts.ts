import type { WeatherSource } from '../../../adapters/weather/source.ts';
import type { StopRequest } from '../../delivery/stop-now.ts';
import type { MonitoringView } from '../../service/monitoring.ts';
import type { Reckoner } from '../../service/reckoner/reckoner.ts';
import type { StopDone } from '../../service/service.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import type { Db } from '../../site/store/database.ts';
import type { Sessions } from './safety/sessions.ts';

/** What the page is served from. */
export interface WebParts {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  now(): number;
  /** A clock that nobody sets, ms; left out: this machine's own. */
  steadyMs?(): number;
  /** Works out what takes long; left out: this process does. */
  reckoner?: Reckoner;
  /** What is shown to those who watch over the process; left out: nothing. */
  view?: MonitoringView;
  /** Stops water at the outputs and then in the store; left out: the store alone is told. */
  stopWater?(asked: StopRequest): Promise<StopDone>;
  /** Told of faults that a person at the page cannot mend; left out: nobody is. */
  onFault?(error: unknown): void;
  /** Who has signed in: given, so that it outlives a reload; left out: nobody yet. */
  signIns?: Sessions;
  /** Has the daemon read its config again; left out: nobody can. */
  askReload?(): void;
  /** Folder of the bundled page; left out: where the build puts it. */
  assetFolder?: string;
}
