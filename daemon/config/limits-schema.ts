import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';
import { NO_WATER_BELOW_C } from '../../calc/schedule/frost-keep-offs.ts';
import { parseSiteDay } from '../time/site-clock.ts';
import { idSchema } from './id-schema.ts';
import { nightWaterSchema } from './night-water-schema.ts';

const LEAST_FLOW_L_PER_MIN = 0.1;
const MOST_FLOW_L_PER_MIN = 100_000;

/** Flow of anything: a nozzle, a station, a pipe, the pump. */
export const flowSchema = quantity('flow', { min: LEAST_FLOW_L_PER_MIN, max: MOST_FLOW_L_PER_MIN });

/** A main or a lateral. */
export const pipeSchema = z.strictObject({
  id: idSchema.meta({ description: 'Id that stations name.' }),
  flow: flowSchema.meta({ description: 'Most that it may carry.' }),
});

export type PipeConfig = z.output<typeof pipeSchema>;

/** What the pump, the pipes and the valves allow. */
export const supplySchema = z
  .strictObject({
    pump_flow: flowSchema.meta({ description: 'Most that the pump gives at working pressure.' }),
    mains: z
      .array(pipeSchema)
      .max(500)
      .default([])
      .meta({ description: 'Mains and their limits.' }),
    laterals: z
      .array(pipeSchema)
      .max(500)
      .default([])
      .meta({ description: 'Laterals and their limits.' }),
    stations_at_once: z
      .int()
      .min(1)
      .max(500)
      .optional()
      .meta({ description: 'Most stations open together; left out: flow alone decides.' }),
    start_gap: quantity('duration_s', { min: 0, max: 600 })
      .prefault('10 s')
      .meta({ description: 'Least time between two starts.' }),
    least_run: quantity('duration_s', { min: 1, max: 3600 })
      .prefault('60 s')
      .meta({ description: 'Shortest run worth opening a valve for.' }),
    // Ten rotations of three minutes: no cycle of a seedbed needs more, and a deep one of the last
    // stage comes in two (common practice, no source).
    most_run: quantity('duration_s', { min: 60, max: 14_400 })
      .prefault('30 min')
      .meta({ description: 'Longest run of a station in one cycle.' }),
    run_step: quantity('duration_s', { min: 1, max: 600 })
      .prefault('1 s')
      .meta({ description: 'Run times are whole multiples of this.' }),
    pump_ramp: flowSchema.optional().meta({
      description: 'Most by which the flow may rise within a minute; left out: it may jump.',
    }),
    pump_rest: quantity('duration_s', { min: 0, max: 7200 })
      .prefault('0 s')
      .meta({ description: 'Least time between the pump stopping and starting again.' }),
    station_order: z
      .enum(['together', 'in_turn'])
      .default('together')
      .meta({ description: 'How the stations of one bed share a cycle.' }),
  })
  .meta({ description: 'Pump, pipes and valves.' });

const clockSchema = z
  .string()
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error: 'is no time of day; write it like "05:30"' });

/** A stretch of the day in which water may run; one that ends at or before its begin spans midnight. */
export const permittedSchema = z
  .strictObject({
    from: clockSchema.meta({ description: 'Begin: HH:MM.' }),
    to: clockSchema.meta({ description: 'End: HH:MM.' }),
  })
  .refine(({ from, to }) => from !== to, { error: 'is empty; make to later than from' });

export type PermittedConfig = z.output<typeof permittedSchema>;

/** The house rules of watering. */
export const rulesSchema = z
  .strictObject({
    first_after_sunrise: quantity('duration_min', { min: -360, max: 360 })
      .prefault('30 min')
      .meta({ description: 'First start of the day after sunrise; negative: before.' }),
    last_before_sunset: quantity('duration_min', { min: -360, max: 360 })
      .prefault('90 min')
      .meta({ description: 'Last end of the day before sunset; negative: after.' }),
    // The short end of what is common practice, 20 to 60 min: sand takes a rotation at once, and on a
    // coarse one at 40 °C the next is owed after 25 min.
    rest: quantity('duration_min', { min: 0, max: 360 })
      .prefault('20 min')
      .meta({ description: 'Least time between two cycles on one bed.' }),
    // Common practice: 4 to 8 cycles a day. What a deep sand brings up to its surface is seldom known
    // well enough to do with fewer until somebody has looked.
    least_cycles: z.int().min(0).max(12).default(4).meta({
      description: 'Least cycles of a bed in germination on a day that dries it; 0: none.',
    }),
    permitted_hours: z
      .array(permittedSchema)
      .max(200)
      .default([])
      .meta({ description: 'Hours of the day in which water may run at all; none: all of them.' }),
    day_allowance: quantity('volume', { min: 1, max: 1e9 })
      .optional()
      .meta({ description: 'Most water of one day; left out: no allowance.' }),
    season_allowance: quantity('volume', { min: 1, max: 1e11 })
      .optional()
      .meta({ description: 'Most water of one season; left out: no allowance.' }),
    season_from: z
      .string()
      .refine((text) => parseSiteDay(`2023-${text}`) !== null, {
        error: (issue) =>
          `is no day that every year has (got ${String(issue.input)}); write it like "04-01"`,
      })
      .default('01-01')
      .meta({ description: 'First day of the season in every year: MM-DD.' }),
    reserve: quantity('fraction', { min: 0, max: 0.8 })
      .prefault('20 %')
      .meta({ description: 'Part of the store that is never planned away.' }),
    night_water: nightWaterSchema,
    wind_limit: quantity('speed', { min: 1, max: 15 })
      .prefault('4 m/s')
      .meta({ description: 'Wind at 2 m above which the plan warns.' }),
    frost_limit: quantity('temperature', { min: -5, max: 10 })
      .prefault(`${NO_WATER_BELOW_C} °C`)
      .meta({ description: 'Air temperature at and below which no cycle runs.' }),
  })
  .prefault({})
  .meta({ description: 'House rules of watering.' });
