import { z } from 'zod';
import { quantity } from '../quantity.ts';
import { columnUnit, type StationField, unitsOf } from './column-units.ts';
import { jsonPointer } from './json-pointer.ts';
import { jsonStamp } from './json-stamp.ts';
import { standInOptions } from './usual-config.ts';
import { zoneName } from './zone-name.ts';

/** A value inside a JSON text and the unit that it is in. */
function jsonField(field: StationField) {
  return z.strictObject({
    at: jsonPointer,
    unit: z.string().refine((unit) => columnUnit(field, unit) !== null, {
      error: (issue) =>
        `has a unit that does not fit here (got ${issue.input}); use one of ${unitsOf(field)}`,
    }),
  });
}

/** Hourly weather from an address that answers in JSON. */
export const httpJsonConfigSchema = z.strictObject({
  source: z.literal('http_json'),
  /** What the plan calls it; the address's host when left out. */
  name: z.string().min(1).max(60).optional(),
  url: z.string().refine(isPlainUrl, {
    // The text itself stays hidden: it may hold a password.
    error: 'is no address (got (hidden)); write http:// or https://, without user and password',
  }),
  poll: quantity('duration_s', { min: 60, max: 86_400 }).prefault('1 h'),
  timeout: quantity('duration_s', { min: 0.1, max: 120 }).prefault('10 s'),
  /** Longest answer that is read. */
  most_kb: z.int().min(1).max(16_384).default(2048),
  /** What its hours are; `by_time`: measured up to now and foretold from then on. */
  tells: z.enum(['forecast', 'observed', 'by_time']).default('forecast'),
  /** Where a list of objects stands, one an hour; left out: a list for the time and for each field. */
  rows: jsonPointer.optional(),
  time: jsonStamp,
  zone: zoneName.optional(),
  stamps: z.enum(['hour_beginning', 'hour_ending']),
  wind_height: quantity('length', { min: 0.5, max: 100 }),
  fields: z.strictObject({
    air_temp: jsonField('air_temp'),
    dew_point: jsonField('dew_point').optional(),
    vapour_pressure: jsonField('vapour_pressure').optional(),
    relative_humidity: jsonField('relative_humidity').optional(),
    wind: jsonField('wind').optional(),
    solar: jsonField('solar').optional(),
    rain: jsonField('rain').optional(),
  }),
  /** Texts and numbers that stand for "no value", beside null. */
  missing: z.array(z.string()).default(['-999', '-9999']),
  ...standInOptions,
});

export type HttpJsonConfig = z.infer<typeof httpJsonConfigSchema>;

function isPlainUrl(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const { protocol, username, password, hostname } = new URL(text);
  const web = protocol === 'http:' || protocol === 'https:';
  return web && hostname !== '' && username === '' && password === '';
}
