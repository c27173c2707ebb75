import { z } from 'zod';
import { quantity } from '../quantity.ts';
import { columnUnit, type StationField, unitsOf } from './column-units.ts';
import { patternReader } from './stamp-pattern.ts';
import { standInOptions } from './usual-config.ts';
import { zoneName } from './zone-name.ts';

const columnName = z.string().min(1);
const pattern = z.string().refine((text) => patternReader(text) !== null, {
  error: (issue) =>
    `does not fix the date and the hour (got ${issue.input}); ` +
    'name each of YYYY, MM, DD and hh once, for example MM/DD/YYYY hh:mm',
});

/** A column and the unit that its numbers are in. */
export function stationColumn(field: StationField) {
  return z.strictObject({
    column: columnName,
    unit: z.string().refine((unit) => columnUnit(field, unit) !== null, {
      error: (issue) =>
        `has a unit that does not fit here (got ${issue.input}); use one of ${unitsOf(field)}`,
    }),
  });
}

/** The columns that hold a row's time. */
export const timeColumns = z.discriminatedUnion('form', [
  z.strictObject({ form: z.literal('iso'), column: columnName }),
  z.strictObject({ form: z.literal('pattern'), column: columnName, pattern }),
  z.strictObject({ form: z.literal('date_and_time'), date: columnName, time: columnName, pattern }),
  z.strictObject({
    form: z.literal('parts'),
    year: columnName,
    month: columnName,
    day: columnName,
    hour: columnName,
    minute: columnName.optional(),
  }),
]);

/** How any delimited file is read. */
export const tableOptions = {
  delimiter: z.enum([',', ';', '|', 'tab']).optional(),
  header_line: z.int().min(1).max(100).default(1),
  decimal_mark: z.enum(['.', ',']).default('.'),
  /** Texts that stand for "no value", beside the empty one. */
  missing: z.array(z.string()).default(['-999', '-9999', 'NaN', 'NA', 'null', '--']),
};

/** A station's export: one row for each hour, or for each 5, 10, 15, 20 or 30 minutes. */
export const csvConfigSchema = z.strictObject({
  source: z.literal('csv'),
  file: z.string().min(1),
  columns: z.strictObject({
    air_temp: stationColumn('air_temp'),
    dew_point: stationColumn('dew_point').optional(),
    /** Stands for the dew point where there is none. */
    vapour_pressure: stationColumn('vapour_pressure').optional(),
    relative_humidity: stationColumn('relative_humidity').optional(),
    wind: stationColumn('wind').optional(),
    solar: stationColumn('solar').optional(),
    rain: stationColumn('rain').optional(),
  }),
  time: timeColumns,
  /** Whether a stamp names the beginning or the end of its row's time. */
  stamps: z.enum(['hour_beginning', 'hour_ending']),
  /** Zone of the stamps; the site's when absent. */
  zone: zoneName.optional(),
  /** Height of the anemometer above the ground. */
  wind_height: quantity('length', { min: 0.5, max: 100 }),
  ...tableOptions,
  ...standInOptions,
});

export type CsvConfig = z.infer<typeof csvConfigSchema>;
export type TimeColumns = z.infer<typeof timeColumns>;
