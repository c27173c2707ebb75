import { resolve } from 'node:path';
import type { CsvConfig } from './csv-config.ts';
import { columnIndex } from './csv-table.ts';
import { problemList } from './problems.ts';
import type { WeatherContext, WeatherSource } from './source.ts';
import { stampReader } from './stamps.ts';
import { stationFile } from './station-file.ts';
import { findColumns } from './station-rows.ts';
import { type StationHours, stationHours, stationReading } from './station-table.ts';
import { stampClock } from './zone-name.ts';

/** Weather from a station's export, looked at again at each request. */
export function csvSource(config: CsvConfig, context: WeatherContext): WeatherSource {
  const { file: name } = config;
  const zoneClock = stampClock(config.zone, context);
  const delimiter = config.delimiter === 'tab' ? '\t' : (config.delimiter ?? null);
  const look = stationFile({
    path: resolve(context.baseFolder, name),
    name,
    layout: { delimiter, headerLine: config.header_line },
    readerOf: (columns) =>
      stampReader(config.time, (column) => columnIndex({ name, columns }, column)),
  });
  return {
    kind: 'csv',
    read: async (request) => {
      const { made: file, problems: fallen } = await look();
      const how = {
        name: `station export ${name}`,
        columns: findColumns({ name, columns: file.columns }, config.columns),
        stamps: config.stamps,
        windHeightM: config.wind_height,
        format: config,
        origin: 'by_time' as const,
        writtenMs: file.writtenMs,
      };
      const hours: StationHours['hours'] = [];
      const problems = problemList(name);
      for (const problem of [...fallen, ...file.problems]) problems.add(problem);
      for (const stretch of file.stretchesOf(request)) {
        const asked = { request: stretch, zoneClock, context };
        const made = await stationHours(await file.near(stretch), how, asked);
        hours.push(...made.hours);
        for (const problem of made.problems) problems.add(problem);
      }
      const youngestMs = await file.youngestMs(zoneClock, request.nowMs);
      const asked = { request, zoneClock, context, file: name, youngestMs };
      return stationReading({ hours, problems: problems.all() }, how, asked);
    },
  };
}
