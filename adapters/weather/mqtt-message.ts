import { z } from 'zod';
import { brokerAccess, brokerUrl, checkAccess } from '../broker-access.ts';
import { quantity } from '../quantity.ts';
import { standInOptions } from './daily-figures.ts';
import { atPointer, cellOf, jsonPointer, jsonStamp, jsonStampReader } from './json-values.ts';
import { columnUnit, type StationField, unitsOf } from './measured-fields.ts';
import type { CheckRule } from './source.ts';
import { type StampClock, zoneName } from './stamp-format.ts';
import { checkRowBounds, NUMBER } from './station-values.ts';
import { instantOfStamp } from './timed-rows.ts';

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
  .refine(({ fields }) => statedFields(fields).length > 0, {
    path: ['fields'],
    error: 'names no field (got none); name one at least',
  })
  .refine(
    ({ fields, time }) =>
      statedFields(fields).length === 1 && time === undefined
        ? true
        : statedFields(fields).every(([, field]) => field.at !== undefined),
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
      for (const name of [`topic ${topic}`, ...statedFields(fields).map(([field]) => field)]) {
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
export function statedFields(
  fields: Readonly<Partial<Record<StationField, StatedField | undefined>>>,
): [StationField, StatedField][] {
  return Object.entries(fields).flatMap(([field, stated]) =>
    stated === undefined ? [] : [[field as StationField, stated] as [StationField, StatedField]],
  );
}

/** A reading is small; anything larger is none. */
const MOST_BYTES = 16 * 1024;
/** A station's clock may be a little ahead. */
const MOST_AHEAD_MS = 120_000;

/** Values at an instant, in the project's units (see `ColumnUnit`). */
export interface TelemetryReading {
  atMs: number;
  values: Partial<Record<StationField, number>>;
}

/** What is wrong in a message or in one of its values. */
interface MessageFault {
  what: string;
  done: string;
  rule?: CheckRule;
}

/**
 * What a message says. Its time is its stamp, or when it came; a message that the broker had kept
 * and that has no stamp may be of any age and says nothing.
 */
export function readMessage(
  payload: Uint8Array,
  reading: MqttReading,
  given: { nowMs: number; retained: boolean; clock: StampClock },
): { reading: TelemetryReading | null; faults: MessageFault[] } {
  const refuse = (what: string, rule?: CheckRule) => ({
    reading: null,
    faults: [{ what, done: 'message left out', ...(rule ? { rule } : {}) }],
  });
  if (payload.byteLength > MOST_BYTES) {
    return refuse(`a message is too long (got ${payload.byteLength} bytes)`);
  }
  const text = utf8(payload);
  if (text === null) return refuse(`a message is no UTF-8 (got ${payload.byteLength} bytes)`);
  const fields = statedFields(reading.fields);
  const plain = fields.every(([, { at }]) => at === undefined);
  const body = plain ? text.trim() : json(text);
  if (body === undefined) return refuse(`a message is no JSON (got ${text.slice(0, 30)})`);
  if (reading.time === undefined && given.retained) {
    return refuse(
      `a kept message has no stamp, so that its age is not known (got ${text.slice(0, 30)})`,
      'retained_unstamped',
    );
  }
  const atMs =
    reading.time === undefined ? given.nowMs : instantOf(body, reading.time, given.clock);
  if (atMs === null) {
    return refuse(`a message's time cannot be read (got ${text.slice(0, 40)})`);
  }
  if (atMs > given.nowMs + MOST_AHEAD_MS) {
    const aheadMin = Math.round((atMs - given.nowMs) / 60_000);
    return refuse(`a message is stamped later than now (got ${aheadMin} min)`, 'future_stamp');
  }
  const values: TelemetryReading['values'] = {};
  const faults: MessageFault[] = [];
  let found = 0;
  for (const [field, { at, unit }] of fields) {
    const value = at === undefined ? body : atPointer(body, at);
    if (value === undefined) continue;
    found += 1;
    const cell = cellOf(value);
    // A sensor that says null has nothing to say; an empty payload is broken.
    if (cell === '' && at !== undefined) continue;
    const judged = judgedValue(field, cell, unit);
    if (typeof judged === 'number') values[field] = judged;
    else faults.push(judged);
  }
  if (found === 0) return refuse(`a message has none of the values (got ${text.slice(0, 40)})`);
  return { reading: Object.keys(values).length === 0 ? null : { atMs, values }, faults };
}

function judgedValue(field: StationField, cell: string, spelling: string): number | MessageFault {
  const unit = columnUnit(field, spelling);
  if (unit === null || !NUMBER.test(cell)) {
    return { what: `${field} is no number (got ${cell.slice(0, 30)})`, done: 'value left out' };
  }
  // Amounts are of a part of the hour that is not known yet: no more than the hour's may be.
  const rowsPerHour = unit.kind === 'sum' ? 1 : 2;
  const judged = checkRowBounds(field, unit.convert(Number(cell)), { unit, rowsPerHour });
  if (judged.value !== null) return judged.value;
  return { what: judged.problem ?? `${field} cannot be`, done: 'value left out', rule: 'range' };
}

function instantOf(
  body: unknown,
  time: NonNullable<MqttReading['time']>,
  clock: StampClock,
): number | null {
  const stamp = jsonStampReader(time)(cellOf(atPointer(body, time.at)));
  return stamp === null ? null : instantOfStamp(stamp, clock, null);
}

function utf8(payload: Uint8Array): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(payload);
  } catch {
    return null;
  }
}

function json(text: string): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return undefined;
  }
}
