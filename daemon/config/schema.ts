import { z } from 'zod';
import { bedsSchema } from './bed-schema.ts';
import { fieldReportsSchema } from './field-schema.ts';
import { keepOffsSchema } from './keep-off-schema.ts';
import { rulesSchema, supplySchema } from './limits-schema.ts';
import { morningSchema } from './morning-schema.ts';
import { newsSchema } from './news-schema.ts';
import { outputsSchema } from './outputs-schema.ts';
import { pageSchema } from './page-schema.ts';
import { revisionsSchema } from './revisions-schema.ts';
import { sandsSchema } from './sand-schema.ts';
import { dataFolderSchema, siteSchema, unitsSchema } from './site-schema.ts';
import { stationsSchema } from './station-schema.ts';
import { waterSchema } from './water-schema.ts';
import { weatherSchema } from './weather-schema.ts';

/** The whole config file. Every key carries its unit and meaning as metadata. */
export const configSchema = z.strictObject({
  site: siteSchema,
  units: unitsSchema,
  data_folder: dataFolderSchema,
  morning: morningSchema,
  weather: weatherSchema,
  outputs: outputsSchema,
  supply: supplySchema,
  rules: rulesSchema,
  water: waterSchema,
  sands: sandsSchema,
  beds: bedsSchema.optional().meta({ description: 'The beds, in the order shown.' }),
  beds_file: z
    .string()
    .min(1)
    .optional()
    .meta({ description: 'CSV with the beds, instead of beds; relative to this file.' }),
  stations: stationsSchema.optional().meta({ description: 'The stations.' }),
  stations_file: z
    .string()
    .min(1)
    .optional()
    .meta({ description: 'CSV with the stations, instead of stations; relative to this file.' }),
  keep_offs: keepOffsSchema,
  field_reports: fieldReportsSchema,
  revisions: revisionsSchema,
  news: newsSchema,
  page: pageSchema,
});

export type Config = z.output<typeof configSchema>;
