import { z } from 'zod';
import { outputConfigSchema } from '../../adapters/outputs/list.ts';

/** Where confirmed plans go. */
export const outputsSchema = z
  .array(outputConfigSchema)
  .max(50)
  .default([])
  .refine((outputs) => new Set(outputs.map(({ name }) => name)).size === outputs.length, {
    error: 'has two outputs of one name; give each a name of its own',
  })
  .meta({ description: 'Where confirmed plans go; none: the plan is only shown.' });

export type OutputConfig = z.output<typeof outputsSchema>[number];
