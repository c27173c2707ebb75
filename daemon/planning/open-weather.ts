import { createWeatherSource, type WeatherConfig } from '../../adapters/weather/list.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { siteClock } from '../time/site-clock.ts';

/** The site's weather source, or another one read at the same place. */
export function openWeather(
  config: LoadedConfig,
  weather: { config: WeatherConfig; baseFolder: string } = {
    config: config.weather,
    baseFolder: config.baseFolder,
  },
): WeatherSource {
  return createWeatherSource(weather.config, {
    ...config.site,
    clock: config.clock,
    clockIn: siteClock,
    baseFolder: weather.baseFolder,
  });
}
