import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';
import { permittedSchema } from './limits-schema.ts';

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
