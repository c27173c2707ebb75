import { z } from 'zod';
import { jsonPointer } from './json-pointer.ts';
import { patternReader } from './stamp-pattern.ts';
import { parseIso, type Stamp } from './stamps.ts';

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

export type JsonStamp = z.infer<typeof jsonStamp>;

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
