import { z } from 'zod';
import { quantity } from '../../../adapters/quantity.ts';
import { STAGE_NAMES } from '../../../calc/growth/stages.ts';
import { sandClasses } from '../../../calc/sand/sand-classes.ts';
import { parseSiteDay } from '../time/site-clock.ts';
import { idSchema } from './site-schema.ts';

/** Sand of a bed that names none: the commonest build, and marked as assumed. */
export const DEFAULT_BED_SAND = 'medium_over_gravel';

const dateSchema = z
  .string({ error: (issue) => `is not a date (got ${String(issue.input)}); write 2026-07-01` })
  .refine((text) => parseSiteDay(text) !== null, {
    error: (issue) => `is no calendar day (got ${String(issue.input)}); write 2026-07-01`,
  });

/** A seeded area that is treated as one. */
export const bedSchema = z.strictObject({
  id: idSchema.meta({ description: 'Id that stations and keep-offs name.' }),
  name: z
    .string()
    .trim()
    .min(1)
    .max(60)
    .optional()
    .meta({ description: 'Name as people say it; left out: the id.' }),
  area: quantity('area', { min: 1, max: 1_000_000 }).meta({ description: 'Seeded area.' }),
  seeded: dateSchema
    .optional()
    .meta({ description: 'Day of seeding, YYYY-MM-DD; left out: not seeded yet.' }),
  water_before_seeding: z
    .boolean()
    .default(false)
    .meta({ description: 'Whether it is watered before its day of seeding, to settle the sand.' }),
  stage: z
    .enum(STAGE_NAMES)
    .default('germination')
    .meta({ description: 'Growth stage at the first start; later the person sets it by hand.' }),
  sand: z
    .string()
    .min(1)
    .default(DEFAULT_BED_SAND)
    .meta({ description: 'Name of a sand under sands, or of a sand class.' }),
  embedding: quantity('depth', { min: 0, max: 20 })
    .prefault('0 mm')
    .meta({ description: 'Depth of dimples that the seed was pressed into; 0: an even surface.' }),
  slope: quantity('fraction', { min: 0, max: 0.3 })
    .prefault('2 %')
    .meta({ description: 'Slope of the surface.' }),
  exposure: quantity('fraction', { min: 0.2, max: 2 })
    .prefault('100 %')
    .meta({ description: 'Loss against an open, level bed: less in shade, more in wind.' }),
  trim: quantity('fraction', { min: 0.25, max: 3 })
    .prefault('100 %')
    .meta({ description: 'Correction of the dose on this bed.' }),
});

/** The beds, in the order shown. */
export const bedsSchema = z
  .array(bedSchema)
  .min(1, { error: 'is empty; describe at least one bed' });

export type BedConfig = z.output<typeof bedSchema>;

const waterSchema = quantity('fraction', { min: 0.001, max: 0.7 });

/** What the laboratory says of the sand, and how the bed is built. */
const labSchema = z
  .strictObject({
    total_porosity: quantity('fraction', { min: 0.2, max: 0.7 }).meta({
      description: 'Total porosity.',
    }),
    capillary_porosity: waterSchema.meta({
      description: 'Capillary porosity: water held at 30 cm of suction.',
    }),
    saturated_conductivity: quantity('rate', { min: 1, max: 5000 }).meta({
      description: 'Saturated hydraulic conductivity.',
    }),
    release: z
      .array(
        z.strictObject({
          suction: quantity('length', { min: 0.005, max: 200 }).meta({ description: 'Suction.' }),
          water: waterSchema.meta({ description: 'Water still held, by volume.' }),
        }),
      )
      .max(100)
      .default([])
      .meta({ description: 'Points of the release curve; two more make the store far surer.' }),
    depth: quantity('length', { min: 0.15, max: 1 })
      .prefault('300 mm')
      .meta({ description: 'Depth of the sand.' }),
    under: z
      .enum(['gravel', 'open'])
      .default('gravel')
      .meta({ description: 'What lies below: gravel holds water up, open ground lets it fall.' }),
  })
  .refine((lab) => lab.capillary_porosity < lab.total_porosity, {
    path: ['capillary_porosity'],
    error: 'is not below total_porosity; correct one of them',
  })
  .meta({ description: 'Laboratory report of the sand.' });

/** One named sand: its laboratory report, its own figures, or a class. */
export const sandSchema = z
  .strictObject({
    class: z
      .enum(sandClasses.map((one) => one.key))
      .optional()
      .meta({ description: 'Sand class for what is not known otherwise.' }),
    lab: labSchema.optional(),
    capacity: quantity('depth', { min: 0.05, max: 30 })
      .optional()
      .meta({ description: 'Your own figure: what the seedbed holds between full and dry limit.' }),
    feed: quantity('rate', { min: 0, max: 5 })
      .optional()
      .meta({ description: 'Your own figure: what comes up from below; goes with capacity.' }),
  })
  .refine(
    (sand) => sand.class !== undefined || sand.capacity !== undefined || sand.lab !== undefined,
    { error: 'says neither a lab report, nor a class, nor a capacity; give one of them' },
  )
  .refine((sand) => sand.feed === undefined || sand.capacity !== undefined, {
    path: ['feed'],
    error: 'stands without capacity; give capacity too, or leave feed out',
  })
  .refine((sand) => sand.lab === undefined || sand.capacity === undefined, {
    path: ['capacity'],
    error: 'stands besides a lab report; keep one of them',
  });

/** The site's sands by name. */
export const sandsSchema = z
  .record(z.string(), sandSchema)
  .default({})
  .meta({ description: 'Sands of the site by name; beds name them.' });

export type SandConfig = z.output<typeof sandSchema>;
