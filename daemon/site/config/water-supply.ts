import { z } from 'zod';
import { quantity } from '../../../adapters/quantity.ts';
import type { SiteClock, SiteDay } from '../../../adapters/site-clock.ts';
import type { PlanWater } from '../../../calc/schedule/plan-notices.ts';
import { type NightWater, NO_WATER_BELOW_C } from '../../../calc/schedule/water-hours.ts';
import { parseSiteDay } from '../time/site-clock.ts';
import { idSchema } from './site-schema.ts';

const TIME = '(?:[01]\\d|2[0-3]):[0-5]\\d';

/** Exceptions to "no water at night". */
const nightWaterSchema = z
  .strictObject({
    dry_wind: z
      .boolean()
      .default(false)
      .meta({ description: 'Beds that wind above wind_limit, all night, would empty.' }),
    first_night: z
      .boolean()
      .default(false)
      .meta({ description: 'Beds in the first night after their day of seeding.' }),
    deep_refill: z
      .string()
      .regex(new RegExp(`^${TIME}-${TIME}$`), {
        abort: true,
        error: 'is no stretch of the night; write it like "03:00-06:00"',
      })
      .refine((text) => text.slice(0, 5) < text.slice(6), {
        error: 'must end later in the same day; write it like "03:00-06:00"',
      })
      .optional()
      .meta({
        description: 'Hours of a deeper refill at first_mow and knitting; left out: none.',
      }),
  })
  .optional()
  .meta({ description: 'Exceptions to no water at night; left out: none.' });

export type NightWaterConfig = NonNullable<z.output<typeof nightWaterSchema>>;

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
const permittedSchema = z
  .strictObject({
    from: clockSchema.meta({ description: 'Begin: HH:MM.' }),
    to: clockSchema.meta({ description: 'End: HH:MM.' }),
  })
  .refine(({ from, to }) => from !== to, { error: 'is empty; make to later than from' });

export type PermittedConfig = z.output<typeof permittedSchema>;

/** How far a plan may be followed through the day where a person confirms it with its leeway. */
const leewaySchema = z
  .union([
    z.literal('none'),
    z.strictObject({
      spares: z
        .int()
        .min(0)
        .max(12)
        .default(3)
        .meta({ description: 'Most cycles that may be added to one bed in a day.' }),
      move: quantity('duration_min', { min: 0, max: 180 })
        .prefault('40 min')
        .meta({ description: 'Farthest that a cycle may move, earlier or later.' }),
      leave_out: z
        .boolean()
        .default(true)
        .meta({ description: 'Whether cycles that a bed does not need may be left out.' }),
    }),
  ])
  .prefault({})
  .meta({
    description:
      'Most leeway that a plan may be confirmed with; none: every plan runs as laid. Without a choice at the confirm a plan runs as laid.',
  });

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
    risk: quantity('fraction', { min: 0.01, max: 0.5 }).prefault('5 %').meta({
      description:
        'Accepted chance that a bed gets dry for a while: 5 % is one day in twenty. Less means more water.',
    }),
    leeway: leewaySchema,
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

/** What is known of the water itself. */
export const waterSchema = z
  .strictObject({
    ec: quantity('salinity', { min: 0, max: 60 })
      .optional()
      .meta({ description: 'Electrical conductivity at 25 °C; left out: not measured.' }),
    reclaimed: z
      .boolean()
      .default(false)
      .meta({ description: 'Whether it is reclaimed water, with hours of its own.' }),
    permitted: permittedSchema.optional().meta({
      description: 'Hours that the permit of reclaimed water allows; left out: 22:00 to 06:00.',
    }),
  })
  .refine((water) => water.permitted === undefined || water.reclaimed, {
    path: ['permitted'],
    error: 'stands without reclaimed water; set reclaimed: true, or use rules.permitted_hours',
  })
  .optional()
  .meta({ description: 'The water itself; the plan tells of it and moves nothing.' });

export type WaterConfig = NonNullable<z.output<typeof waterSchema>>;

/** The exceptions on a site day, with the hours as instants. */
export function planNight(
  night: NightWaterConfig | null,
  day: SiteDay,
  clock: SiteClock,
): NightWater | null {
  if (night === null) return null;
  const { dry_wind: dryWind, first_night: firstNight, deep_refill: refill } = night;
  if (refill === undefined) return { dryWind, firstNight, deepRefill: null };
  const [from = '', to = ''] = refill.split('-');
  return {
    dryWind,
    firstNight,
    deepRefill: { startMs: instantOn(day, from, clock), endMs: instantOn(day, to, clock) },
  };
}

/** Hours that permits of reclaimed water commonly allow. */
const COMMONLY_PERMITTED = { from: '22:00', to: '06:00' };

/** What is known of the water on a site day, with the permitted hours as instants. */
export function planWater(
  water: WaterConfig | null,
  day: SiteDay,
  clock: SiteClock,
): PlanWater | null {
  if (water === null) return null;
  const { from, to } = water.permitted ?? COMMONLY_PERMITTED;
  const overnight = to <= from;
  return {
    salinityDSPerM: water.ec ?? null,
    permitted: water.reclaimed
      ? [-1, 0].map((days) => {
          const begin = clock.addDays(day, days);
          return {
            startMs: instantOn(begin, from, clock),
            endMs: instantOn(overnight ? clock.addDays(begin, 1) : begin, to, clock),
          };
        })
      : null,
  };
}

/** The instant of a time of day, `HH:MM`, on a site day. */
function instantOn(day: SiteDay, time: string, clock: SiteClock): number {
  const [year = 0, month = 0, dayOfMonth = 0] = day.split('-').map(Number);
  const [hour = 0, minute = 0] = time.split(':').map(Number);
  return clock.instantOf({ year, month, day: dayOfMonth, hour, minute });
}
