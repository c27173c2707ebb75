import { z } from 'zod';

const TIME = '(?:[01]\\d|2[0-3]):[0-5]\\d';

/** Exceptions to "no water at night". */
export const nightWaterSchema = z
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
