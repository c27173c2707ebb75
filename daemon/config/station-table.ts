import { type CsvSource, readCsv } from './csv-source.ts';

/**
 * Columns of a table of stations. The rate is stated (`rate`) or worked out from the nozzle
 * columns; a catch-can test has too many numbers for a line and goes into the YAML.
 */
export const STATION_COLUMNS = {
  id: ['id'],
  bed: ['bed'],
  main: ['main'],
  lateral: ['lateral'],
  flow: ['flow'],
  rate: ['rate', 'stated'],
  nozzle_flow: ['rate', 'nozzle', 'flow'],
  head_spacing: ['rate', 'nozzle', 'head_spacing'],
  row_spacing: ['rate', 'nozzle', 'row_spacing'],
  triangular: ['rate', 'nozzle', 'triangular'],
  arc: ['rate', 'nozzle', 'arc'],
  rotation: ['rotation'],
  measured: ['measured'],
} as const;

/** Reads a table of stations, one a line. */
export function readStationTable(text: string, file: string): CsvSource {
  return readCsv(text, file, STATION_COLUMNS);
}
