import type { z } from 'zod';
import { weatherConfigSchema } from '../../adapters/weather/list.ts';

/** Where the weather comes from. */
export const weatherSchema = weatherConfigSchema.meta({
  description: 'Where the weather comes from.',
});

export type WeatherConfig = z.output<typeof weatherSchema>;
