import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';
import { isZone } from '../time/site-clock.ts';
import { idSchema } from './id-schema.ts';
import { placeMisfit } from './place-fit.ts';

/** Where the site is and how it is called. */
export const siteSchema = z
  .strictObject({
    id: idSchema.meta({ description: 'Short id, used in file names and messages.' }),
    name: z.string().trim().min(1).max(80).meta({ description: 'Name as people say it.' }),
    latitude: z
      .number()
      .min(-90)
      .max(90)
      .meta({ unit: 'degrees', description: 'North positive, south negative.' }),
    longitude: z
      .number()
      .min(-180)
      .max(180)
      .meta({ unit: 'degrees', description: 'East positive, west negative.' }),
    elevation: quantity('length', { min: -430, max: 5000 }).meta({
      description: 'Height above the sea.',
    }),
    zone: z
      .string()
      .refine(isZone, {
        error: (issue) =>
          `is no time zone that this machine knows (got ${String(issue.input)}); write an IANA name such as Europe/Lisbon or America/Denver`,
      })
      .meta({ description: 'IANA time zone of the site.' }),
  })
  .superRefine(({ zone, latitude, longitude }, context) => {
    const message = placeMisfit({ zone, latitudeDeg: latitude, longitudeDeg: longitude });
    if (message !== null) context.addIssue({ code: 'custom', path: ['zone'], message });
  })
  .meta({ description: 'Where the site is.' });

/** Units that people see. Inside, and in what goes out, everything is metric. */
export const unitsSchema = z
  .enum(['us', 'metric'])
  .default('metric')
  .meta({ description: 'Units shown: us or metric.' });

export const dataFolderSchema = z
  .string()
  .min(1)
  .default('./dewbeat-data')
  .meta({ description: 'Folder for what is remembered; relative to this file.' });
