import { type CsvSource, readCsv } from './csv-source.ts';

/** Columns of a table of beds; each stands for the key of the same name. */
export const BED_COLUMNS = {
  id: ['id'],
  name: ['name'],
  area: ['area'],
  seeded: ['seeded'],
  water_before_seeding: ['water_before_seeding'],
  stage: ['stage'],
  sand: ['sand'],
  embedding: ['embedding'],
  slope: ['slope'],
  exposure: ['exposure'],
  trim: ['trim'],
} as const;

/** Reads a table of beds, one a line. */
export function readBedTable(text: string, file: string): CsvSource {
  return readCsv(text, file, BED_COLUMNS);
}
