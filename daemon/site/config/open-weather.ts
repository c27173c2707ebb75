import type { AdapterLog } from '../../../adapters/contract.ts';
import { openWeatherSource, type WeatherConfig } from '../../../adapters/weather/combined.ts';
import {
  type WeatherMemory,
  type WeatherSource,
  WeatherUnreadable,
} from '../../../adapters/weather/source.ts';
import { within } from '../../within.ts';
import { siteClock } from '../time/site-clock.ts';
import type { LoadedConfig } from './config.ts';

/** What weather that collects by itself needs of the daemon. */
interface WeatherHooks {
  now?(): number;
  memory?: WeatherMemory;
  log?: AdapterLog;
  /** Another process collects: only what that has kept is read. */
  keptOnly?: boolean;
}

/** The site's weather source, or another one read at the same place. */
export function openWeather(
  config: LoadedConfig,
  weather: { config: WeatherConfig; baseFolder: string } = {
    config: config.weather,
    baseFolder: config.baseFolder,
  },
  hooks: WeatherHooks = {},
): WeatherSource {
  const source = openWeatherSource(weather.config, {
    ...config.site,
    clock: config.clock,
    clockIn: siteClock,
    baseFolder: weather.baseFolder,
    ...hooks,
  });
  return patientWeather(source);
}

/** Longer than any source's own time-out; a share that has gone away may never answer. */
const PATIENCE_MS = 60_000;

/** A source whose readings come in time or are given up, so that nothing that plans hangs on it. */
export function patientWeather(source: WeatherSource, patienceMs = PATIENCE_MS): WeatherSource {
  return {
    ...source,
    async read(request) {
      const reading = await within(source.read(request), patienceMs);
      if (reading.ended) return reading.value;
      throw new WeatherUnreadable(
        `${source.kind}: no answer (got none in ${patienceMs / 1000} s); look at where the weather is kept`,
      );
    },
  };
}
