import { z } from 'zod';
import { patternReader } from './stamp-format.ts';
import { parseIso, type Stamp } from './timed-rows.ts';

const POINTER = /^(\/([^~/]|~[01])*)*$/;

/** A place inside a JSON text: RFC 6901. The empty text is the whole. */
export const jsonPointer = z.string().refine((text) => POINTER.test(text), {
  error: (issue) =>
    `is no JSON Pointer (got ${issue.input}); begin with / and name the keys: /hourly/time`,
});

/** What stands at a pointer; undefined where nothing does. */
export function atPointer(value: unknown, pointer: string): unknown {
  let found = value;
  for (const part of pointer.split('/').slice(1)) {
    const key = part.replaceAll('~1', '/').replaceAll('~0', '~');
    if (Array.isArray(found)) {
      found = /^(0|[1-9]\d*)$/.test(key) ? (found as unknown[])[Number(key)] : undefined;
    } else if (typeof found === 'object' && found !== null && Object.hasOwn(found, key)) {
      found = (found as Record<string, unknown>)[key];
    } else {
      return undefined;
    }
  }
  return found;
}

/** A JSON value as the text of a table's cell: what is no plain value cannot be read as a number. */
export function cellOf(value: unknown): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'string') return value.trim();
  if (typeof value === 'number') return String(value);
  return JSON.stringify(value).slice(0, 40);
}

/** Where a time stands, and how it is written. */
export const jsonStamp = z.discriminatedUnion('form', [
  z.strictObject({ form: z.literal('iso'), at: jsonPointer }),
  z.strictObject({ form: z.literal('epoch_s'), at: jsonPointer }),
  z.strictObject({ form: z.literal('epoch_ms'), at: jsonPointer }),
  z.strictObject({
    form: z.literal('pattern'),
    at: jsonPointer,
    pattern: z.string().refine((text) => patternReader(text) !== null, {
      error: (issue) =>
        `does not fix the date and the hour (got ${issue.input}); ` +
        'name each of YYYY, MM, DD and hh once, for example MM/DD/YYYY hh:mm',
    }),
  }),
]);

type JsonStamp = z.infer<typeof jsonStamp>;

/** 2000 and 2100: an epoch outside is in another unit. */
const LEAST_MS = Date.UTC(2000, 0, 1);
const MOST_MS = Date.UTC(2100, 0, 1);

/** A reader of the texts that the stamp's values have. */
export function jsonStampReader(stamp: JsonStamp): (text: string) => Stamp | null {
  switch (stamp.form) {
    case 'iso':
      return parseIso;
    case 'epoch_s':
      return (text) => epoch(text, 1000);
    case 'epoch_ms':
      return (text) => epoch(text, 1);
    case 'pattern': {
      const read = patternReader(stamp.pattern);
      return (text) => {
        const local = read?.(text);
        return local ? { kind: 'local', local } : null;
      };
    }
  }
}

function epoch(text: string, unitMs: number): Stamp | null {
  if (!/^\d+(\.\d+)?$/.test(text)) return null;
  const atMs = Math.round(Number(text) * unitMs);
  return atMs >= LEAST_MS && atMs < MOST_MS ? { kind: 'instant', atMs } : null;
}
