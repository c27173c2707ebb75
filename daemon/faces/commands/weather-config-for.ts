import { extname } from 'node:path';
import { partsOf, type SourceConfig } from '../../../adapters/weather/combined.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { wrongOption } from './given-options.ts';

/**
 * The weather config that reads a given file: an EPW file needs no description; a CSV is read as
 * the config describes its own (hourly columns, or the outlook's daily file).
 *
 * @throws CommandFailure, exit code 2, when the config does not say how to read such a file.
 */
export function weatherConfigFor(
  file: string,
  config: Pick<LoadedConfig, 'weather' | 'baseFolder'>,
): { config: SourceConfig; baseFolder: string } {
  const { baseFolder } = config;
  if (extname(file).toLowerCase() === '.epw') {
    return { config: { source: 'epw', file }, baseFolder };
  }
  for (const { config: weather } of partsOf(config.weather)) {
    if (weather.source === 'csv') return { config: { ...weather, file }, baseFolder };
    if (weather.source === 'outlook' && weather.daily_file !== undefined) {
      return { config: { ...weather, daily_file: { ...weather.daily_file, file } }, baseFolder };
    }
  }
  throw wrongOption('weather', 'weather.not_described', { file });
}
