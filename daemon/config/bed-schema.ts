import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';
import { STAGE_NAMES } from '../../calc/growth/stages.ts';
import { parseSiteDay } from '../time/site-clock.ts';
import { idSchema } from './id-schema.ts';

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
