import { z } from 'zod';
import { readQuantity } from '../../adapters/quantity.ts';
import type { MorningTime } from '../time/due.ts';

const MOST_OFFSET_MIN = 12 * 60;
const ADVICE = 'write "sunrise - 60 min" or a time such as "04:30"';

const timeSchema = z
  .string({ error: (issue) => `is not text (got ${String(issue.input)}); ${ADVICE}` })
  .transform((text, context): MorningTime => {
    const reading = readMorningTime(text);
    if (typeof reading !== 'string') return reading;
    context.issues.push({ code: 'custom', message: reading, input: text });
    return z.NEVER;
  });

/** The morning's settings. */
export const morningSchema = z
  .strictObject({
    at: timeSchema
      .prefault('sunrise - 60 min')
      .meta({ description: 'When the plan of the day is made.' }),
  })
  .prefault({})
  .meta({ description: 'The morning plan.' });

/** The time that a text names, or what is wrong with it. */
export function readMorningTime(text: string): MorningTime | string {
  const clock = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(text.trim());
  if (clock) return { kind: 'clock', hour: Number(clock[1]), minute: Number(clock[2]) };
  const sun = /^sunrise(?:\s*([+-])\s*(.+))?$/i.exec(text.trim());
  if (!sun) return `is no time of the morning (got ${text}); ${ADVICE}`;
  const [, sign, amount] = sun;
  if (sign === undefined || amount === undefined) return { kind: 'sunrise', offsetMin: 0 };
  const reading = readQuantity(amount, 'duration_min', { min: 0, max: MOST_OFFSET_MIN });
  if (!reading.ok) return reading.message;
  // `0 - x` and not `-x`: "sunrise - 0 min" must not give minus zero.
  return { kind: 'sunrise', offsetMin: sign === '-' ? 0 - reading.value : reading.value };
}
