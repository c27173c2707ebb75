import { z } from 'zod';
import { brokerAccess, brokerUrl, checkAccess } from '../outputs/mqtt-access.ts';
import { quantity } from '../quantity.ts';
import { columnUnit, type StationField, unitsOf } from './column-units.ts';
import { jsonPointer } from './json-pointer.ts';
import { jsonStamp } from './json-stamp.ts';
import { standInOptions } from './usual-config.ts';
import { zoneName } from './zone-name.ts';

/** A value of a message; without `at` the whole payload is the number. */
function messageField(field: StationField) {
  return z.strictObject({
    at: jsonPointer.optional(),
    unit: z.string().refine((unit) => columnUnit(field, unit) !== null, {
      error: (issue) =>
        `has a unit that does not fit here (got ${issue.input}); use one of ${unitsOf(field)}`,
    }),
  });
}

const readingSchema = z
  .strictObject({
    topic: z
      .string()
      .min(1)
      .max(300)
      .refine((text) => !/[+#\p{Cc}]/u.test(text), {
        error: (issue) =>
          `is no single topic (got ${issue.input}); name each topic without + and #`,
      }),
    /** When it was measured; left out: when it came. */
    time: jsonStamp.optional(),
    fields: z.strictObject({
      air_temp: messageField('air_temp').optional(),
      dew_point: messageField('dew_point').optional(),
      vapour_pressure: messageField('vapour_pressure').optional(),
      relative_humidity: messageField('relative_humidity').optional(),
      wind: messageField('wind').optional(),
      solar: messageField('solar').optional(),
      rain: messageField('rain').optional(),
    }),
  })
  .refine(({ fields }) => told(fields).length > 0, {
    path: ['fields'],
    error: 'names no field (got none); name one at least',
  })
  .refine(
    ({ fields, time }) =>
      told(fields).length === 1 && time === undefined
        ? true
        : told(fields).every(([, field]) => field.at !== undefined),
    {
      path: ['fields'],
      error: 'needs a place in the message for each value (got one without); give each an at:',
    },
  );

/** Telemetry of a station over a broker. */
export const mqttWeatherSchema = z
  .strictObject({
    source: z.literal('mqtt'),
    /** What the plan calls it; `telemetry` and the broker's host when left out. */
    name: z.string().min(1).max(60).optional(),
    url: brokerUrl,
    protocol: z.enum(['5', '3.1.1']).default('5'),
    client_id: z.string().min(1).max(120).optional(),
    ...brokerAccess,
    timeout: quantity('duration_s', { min: 0.1, max: 120 }).prefault('10 s'),
    retry: quantity('duration_s', { min: 0.1, max: 600 }).prefault('5 s'),
    readings: z.array(readingSchema).min(1).max(50),
    /** Zone of stamps without one; the site's when absent. */
    zone: zoneName.optional(),
    /** What a stamp on the full hour is of: the hour before it, or the hour that it begins. */
    stamps: z.enum(['hour_beginning', 'hour_ending']).default('hour_ending'),
    wind_height: quantity('length', { min: 0.5, max: 100 }),
    ...standInOptions,
  })
  .superRefine(checkAccess)
  .superRefine(({ readings }, context) => {
    const seen = new Set<string>();
    readings.forEach(({ topic, fields }, index) => {
      for (const name of [`topic ${topic}`, ...told(fields).map(([field]) => field)]) {
        if (seen.has(name)) {
          const message = `comes twice (got ${name}); name each topic and each field once`;
          context.addIssue({ code: 'custom', path: ['readings', index], message });
        }
        seen.add(name);
      }
    });
  });

export type MqttWeatherConfig = z.infer<typeof mqttWeatherSchema>;
export type MqttReading = MqttWeatherConfig['readings'][number];

type StatedField = { at?: string | undefined; unit: string };

/** The fields that a reading's config names. */
export function told(
  fields: Readonly<Partial<Record<StationField, StatedField | undefined>>>,
): [StationField, StatedField][] {
  return Object.entries(fields).flatMap(([field, stated]) =>
    stated === undefined ? [] : [[field as StationField, stated] as [StationField, StatedField]],
  );
}
