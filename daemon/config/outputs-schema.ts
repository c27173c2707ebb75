import { z } from 'zod';

/** Where confirmed plans go. */
export const outputsSchema = z
  .array(z.looseObject({ kind: z.enum(['file', 'mqtt']) }))
  .default([])
  .meta({ description: 'Where confirmed plans go; none: the plan is only shown.' });

export type OutputConfig = z.output<typeof outputsSchema>[number];
