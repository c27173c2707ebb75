import { z } from 'zod';
import { quantity } from '../quantity.ts';
import { columnUnit, type StationField, unitsOf } from './column-units.ts';
import { tableOptions } from './csv-config.ts';
import { dayReader } from './day-text.ts';
import { dayFigures, highAboveLow, trustOptions, usualMonths } from './usual-config.ts';

const dayText = z.string().refine((text) => dayReader('YYYY-MM-DD')?.(text) != null, {
  error: (issue) => `is no day (got ${issue.input}); write YYYY-MM-DD`,
});

const dayRow = z
  .strictObject({ day: dayText, ...dayFigures })
  .refine(highAboveLow.when, { error: highAboveLow.error });

/** A column of daily figures: amounts are sums over the day, levels are means or extremes. */
function dailyColumn(field: StationField) {
  return z.strictObject({
    column: z.string().min(1),
    unit: z.string().refine((unit) => isDaily(field, unit), {
      error: (issue) =>
        `has a unit that does not fit a day (got ${issue.input}); use one of ${unitsOf(field)}`,
    }),
  });
}

function isDaily(field: StationField, spelling: string): boolean {
  const unit = columnUnit(field, spelling);
  return unit !== null && (field !== 'rain' || unit.kind === 'sum');
}

const dailyFile = z.strictObject({
  file: z.string().min(1),
  day: z.strictObject({
    column: z.string().min(1),
    pattern: z
      .string()
      .refine((text) => dayReader(text) !== null, {
        error: (issue) => `does not fix the day (got ${issue.input}); name YYYY, MM and DD once`,
      })
      .default('YYYY-MM-DD'),
  }),
  columns: z.strictObject({
    high: dailyColumn('air_temp'),
    low: dailyColumn('air_temp'),
    wind: dailyColumn('wind').optional(),
    rain: dailyColumn('rain').optional(),
    dew_point: dailyColumn('dew_point').optional(),
    solar: dailyColumn('solar').optional(),
  }),
  ...tableOptions,
});

/** Daily figures, typed or in a file, and the usual day of a month where neither speaks. */
export const outlookConfigSchema = z
  .strictObject({
    source: z.literal('outlook'),
    /** Height at which the wind is told; public forecasts speak of 10 m. */
    wind_height: quantity('length', { min: 0.5, max: 100 }),
    days: z.array(dayRow).default([]),
    daily_file: dailyFile.optional(),
    usual: usualMonths.default([]),
    ...trustOptions,
  })
  .refine(({ days, daily_file, usual }) => days.length > 0 || daily_file || usual.length > 0, {
    error: 'tells of no day (got neither days, daily_file nor usual); give one of them',
  })
  .refine(({ days }) => new Set(days.map(({ day }) => day)).size === days.length, {
    path: ['days'],
    error: 'tells of one day twice; keep one',
  });

export type OutlookConfig = z.infer<typeof outlookConfigSchema>;
export type DailyFileConfig = z.infer<typeof dailyFile>;
