import { z } from 'zod';
import { combinedSource, type PartRole, type WeatherPart } from './combined.ts';
import { createWeatherSource, type SourceConfig, weatherConfigSchema } from './list.ts';
import type { WeatherContext, WeatherSource } from './source.ts';

/** One source, several in the order in which they are believed, or one for each of now and later. */
export const weatherSchema = z.union([
  weatherConfigSchema,
  z.array(weatherConfigSchema).min(1).max(8),
  z.strictObject({ observed: weatherConfigSchema, forecast: weatherConfigSchema }),
]);

export type WeatherConfig = z.output<typeof weatherSchema>;

/** A source of the config and what it is there for. */
export interface ConfiguredPart {
  role: PartRole;
  config: SourceConfig;
}

const STALE_OBSERVED_S = 3 * 3600;
const STALE_FORECAST_S = 12 * 3600;

/** The sources that a config names, in the order in which they are believed. */
export function partsOf(config: WeatherConfig): ConfiguredPart[] {
  if (Array.isArray(config)) return config.map((one) => ({ role: 'any', config: one }));
  if ('source' in config) return [{ role: 'any', config }];
  return [
    { role: 'observed', config: config.observed },
    { role: 'forecast', config: config.forecast },
  ];
}

/** The kinds of the sources, for a person: `csv`, `mqtt and http_json`. */
export function weatherKinds(config: WeatherConfig): string {
  return partsOf(config)
    .map(({ config: { source } }) => source)
    .join(' and ');
}

/**
 * The weather of a config as one source.
 * @throws RangeError when the time zone of stamps is unknown to this machine.
 */
export function openWeatherSource(config: WeatherConfig, context: WeatherContext): WeatherSource {
  const configured = partsOf(config);
  const parts = configured.map(
    ({ role, config: one }): WeatherPart => ({
      source: createWeatherSource(one, context),
      role,
      staleAfterS: one.source === 'epw' ? null : (one.stale_after ?? usualStaleAfterS(one, role)),
      checked: one.source !== 'epw' && one.source !== 'outlook',
    }),
  );
  const usual = configured.flatMap(({ config: one }) => usualPart(one, context));
  return combinedSource([...parts, ...usual], context);
}

/** What persons typed and typical years have no age; a station and a forecast have. */
function usualStaleAfterS(config: SourceConfig, role: PartRole): number | null {
  if (config.source === 'epw' || config.source === 'outlook') return null;
  const foretells = config.source === 'http_json' && config.tells !== 'observed';
  if (role === 'forecast' || (role === 'any' && foretells)) return STALE_FORECAST_S;
  return STALE_OBSERVED_S;
}

/** The usual days of a source that is none itself, shaped as an outlook shapes them. */
function usualPart(config: SourceConfig, context: WeatherContext): WeatherPart[] {
  if (config.source === 'epw' || config.source === 'outlook' || config.usual === undefined) {
    return [];
  }
  const { usual, wind_height } = config;
  const source = createWeatherSource({ source: 'outlook', days: [], usual, wind_height }, context);
  return [{ source, role: 'usual', staleAfterS: null, checked: false }];
}
