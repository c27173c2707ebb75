import {
  weatherSchema as sources,
  type WeatherConfig,
} from '../../adapters/weather/weather-config.ts';

/** Where the weather comes from. */
export const weatherSchema = sources.meta({
  description: 'Where the weather comes from: one source, a list, or observed and forecast.',
});

export type { WeatherConfig };
