import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';
import { SAND_CLASS_NAMES } from '../../calc/sand/sand-defaults.ts';

/** One named sand: a class, or its own figures, or a class with a figure of its own. */
export const sandSchema = z
  .strictObject({
    class: z
      .enum(SAND_CLASS_NAMES)
      .optional()
      .meta({ description: 'Sand class that figures left out are taken from.' }),
    capacity: quantity('depth', { min: 0.05, max: 30 })
      .optional()
      .meta({ description: 'Water that the seedbed holds between full and its dry limit.' }),
    feed: quantity('rate', { min: 0, max: 5 })
      .optional()
      .meta({ description: 'Rate at which the root zone below feeds the seedbed.' }),
  })
  .refine((sand) => sand.class !== undefined || sand.capacity !== undefined, {
    error: 'says neither a class nor a capacity; give one of them',
  });

/** The site's sands by name. */
export const sandsSchema = z
  .record(z.string(), sandSchema)
  .default({})
  .meta({ description: 'Sands of the site by name; beds name them.' });

export type SandConfig = z.output<typeof sandSchema>;
