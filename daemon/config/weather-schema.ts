import { z } from 'zod';

/** Where the weather comes from. */
export const weatherSchema = z
  .looseObject({ source: z.enum(['csv', 'epw', 'outlook']) })
  .meta({ description: 'Where the weather comes from.' });

export type WeatherConfig = z.output<typeof weatherSchema>;
