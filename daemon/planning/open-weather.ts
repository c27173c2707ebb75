import type { AdapterLog } from '../../adapters/contract.ts';
import type { WeatherMemory, WeatherSource } from '../../adapters/weather/source.ts';
import { openWeatherSource, type WeatherConfig } from '../../adapters/weather/weather-config.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { siteClock } from '../time/site-clock.ts';
import { patientWeather } from './patient-weather.ts';

/** What weather that collects by itself needs of the daemon. */
export interface WeatherHooks {
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
