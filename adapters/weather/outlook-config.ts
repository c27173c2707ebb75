import { z } from 'zod';
import { quantity } from '../quantity.ts';
import { columnUnit, type StationField, unitsOf } from './column-units.ts';
import { tableOptions } from './csv-config.ts';
import { dayReader } from './day-text.ts';

const figures = {
  high: quantity('temperature', { min: -60, max: 57 }),
  low: quantity('temperature', { min: -60, max: 57 }),
  /** Mean over the day. */
  wind: quantity('speed', { min: 0, max: 60 }),
  /** Sum over the day. */
  rain: quantity('depth', { min: 0, max: 2000 }),
  dew_point: quantity('temperature', { min: -70, max: 36 }).optional(),
  /** Sum over the day. */
  solar: quantity('solar', { min: 0, max: 45 }).optional(),
  /** Part of the daylight without sunshine; used where no solar radiation is given. */
  cloud: quantity('fraction', { min: 0, max: 1 }).optional(),
};

const highAboveLow = {
  when: ({ high, low }: { high: number; low: number }) => high >= low,
  error: 'has a high below its low; correct one of them',
};

const dayText = z.string().refine((text) => dayReader('YYYY-MM-DD')?.(text) != null, {
  error: (issue) => `is no day (got ${issue.input}); write YYYY-MM-DD`,
});

const dayRow = z
  .strictObject({ day: dayText, ...figures })
  .refine(highAboveLow.when, { error: highAboveLow.error });

const usualMonth = z
  .strictObject({ month: z.int().min(1).max(12), ...figures })
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
    usual: z.array(usualMonth).default([]),
  })
  .refine(({ days, daily_file, usual }) => days.length > 0 || daily_file || usual.length > 0, {
    error: 'tells of no day (got neither days, daily_file nor usual); give one of them',
  })
  .refine(({ days }) => new Set(days.map(({ day }) => day)).size === days.length, {
    path: ['days'],
    error: 'tells of one day twice; keep one',
  })
  .refine(({ usual }) => new Set(usual.map(({ month }) => month)).size === usual.length, {
    path: ['usual'],
    error: 'tells of one month twice; keep one',
  });

export type OutlookConfig = z.infer<typeof outlookConfigSchema>;
export type DailyFileConfig = z.infer<typeof dailyFile>;
export type TypedFigures = Omit<z.infer<typeof usualMonth>, 'month'>;
