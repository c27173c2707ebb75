import { resolve } from 'node:path';
import type { CsvConfig } from './csv-config.ts';
import { columnIndex, readTable } from './csv-table.ts';
import { fileReader } from './file-text.ts';
import type { WeatherContext, WeatherSource } from './source.ts';
import { stampReader } from './stamps.ts';
import { findColumns } from './station-rows.ts';
import { readStation } from './station-table.ts';
import { stampClock } from './zone-name.ts';

/** Weather from a station's export, looked at again at each request. */
export function csvSource(config: CsvConfig, context: WeatherContext): WeatherSource {
  const { file } = config;
  const zoneClock = stampClock(config.zone, context);
  const delimiter = config.delimiter === 'tab' ? '\t' : (config.delimiter ?? null);
  const table = fileReader(resolve(context.baseFolder, file), file, ({ text, modifiedMs }) => ({
    ...readTable(text, file, { delimiter, headerLine: config.header_line }),
    modifiedMs,
  }));
  return {
    kind: 'csv',
    read: async (request) => {
      const { made, problems } = await table();
      return readStation(
        { ...made, problems: [...problems, ...made.problems] },
        {
          name: `station export ${file}`,
          columns: findColumns(made, config.columns),
          reader: stampReader(config.time, (column) => columnIndex(made, column)),
          stamps: config.stamps,
          windHeightM: config.wind_height,
          format: config,
          origin: 'by_time',
          writtenMs: made.modifiedMs,
        },
        { request, zoneClock, context },
      );
    },
  };
}
