import { isIP } from 'node:net';
import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';
import { isZone } from '../time/site-clock.ts';
import { idSchema } from './id-schema.ts';

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

/** Where the page listens. */
export const pageSchema = z
  .strictObject({
    address: z
      .string()
      .refine((text) => isIP(text) !== 0, {
        error: (issue) =>
          `is not an IP address (got ${String(issue.input)}); write 127.0.0.1 for this machine alone`,
      })
      .default('127.0.0.1')
      .meta({ description: 'Address that the page listens on.' }),
    port: z.int().min(0).max(65_535).default(8780).meta({ description: 'Port of the page.' }),
  })
  .prefault({})
  .meta({ description: 'The page for the morning review.' });
