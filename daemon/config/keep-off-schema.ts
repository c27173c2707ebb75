import { z } from 'zod';
import type { LocalTime } from '../../adapters/site-clock.ts';
import { parseSiteDay } from '../time/site-clock.ts';
import { idSchema } from './id-schema.ts';

/** Days of the week as the config writes them, Monday first. */
export const WEEKDAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;

/** A bound of a keep-off: a dated minute, or a minute of every day. */
export type KeepOffBound =
  | ({ kind: 'dated' } & LocalTime)
  | { kind: 'daily'; hour: number; minute: number };

const ADVICE = 'write "06:00" for every day or "2026-07-01 06:00" for one';

const boundSchema = z
  .string({ error: (issue) => `is not text (got ${String(issue.input)}); ${ADVICE}` })
  .transform((text, context): KeepOffBound => {
    const bound = readBound(text);
    if (bound) return bound;
    const message = `is no time (got ${text}); ${ADVICE}`;
    context.issues.push({ code: 'custom', message, input: text });
    return z.NEVER;
  });

/** A time during which nothing may run on some beds. */
export const keepOffSchema = z
  .strictObject({
    beds: z
      .union([z.literal('all'), z.array(idSchema).min(1)], {
        error: () => 'names no beds; write all, or a list of bed ids',
      })
      .default('all')
      .meta({ description: 'all, or a list of bed ids.' }),
    from: boundSchema.meta({ description: 'Begin: HH:MM, or YYYY-MM-DD HH:MM.' }),
    to: boundSchema.meta({ description: 'End, written like the begin.' }),
    why: z
      .string()
      .trim()
      .min(1)
      .max(80)
      .meta({ description: 'What the turf is needed for: mow, roll, visitors.' }),
    days: z
      .array(z.enum(WEEKDAYS))
      .max(7)
      .min(1)
      .optional()
      .meta({ description: 'Days of the week of a daily keep-off; left out: every day.' }),
  })
  .superRefine((keepOff, context) => {
    const { from, to, days } = keepOff;
    const refuse = (key: string, message: string) =>
      context.addIssue({ code: 'custom', path: [key], message });
    if (from.kind !== to.kind) {
      refuse('to', 'is not written like from; give both a date, or neither');
      return;
    }
    if (from.kind === 'dated' && days) {
      refuse('days', 'does not go with a date; leave days out, or the dates');
    }
    if (textOf(from) === textOf(to)) {
      refuse('to', `is the same as from (got ${textOf(to)}); make it later`);
    } else if (from.kind === 'dated' && textOf(to) < textOf(from)) {
      refuse('to', `is before from (got ${textOf(to)}); make it later`);
    }
  });

/** The keep-offs of the site. */
export const keepOffsSchema = z
  .array(keepOffSchema)
  .max(2_000)
  .default([])
  .meta({ description: 'Times during which nothing may run on some beds.' });

export type KeepOffConfig = z.output<typeof keepOffSchema>;

function readBound(text: string): KeepOffBound | null {
  const match = /^(?:(\d{4}-\d{2}-\d{2})[ T])?([01]?\d|2[0-3]):([0-5]\d)$/.exec(text.trim());
  if (!match) return null;
  const hour = Number(match[2]);
  const minute = Number(match[3]);
  const date = match[1];
  if (date === undefined) return { kind: 'daily', hour, minute };
  if (parseSiteDay(date) === null) return null;
  const [year = 0, month = 0, day = 0] = date.split('-').map(Number);
  return { kind: 'dated', year, month, day, hour, minute };
}

/** The bound as text that sorts by time. */
function textOf(bound: KeepOffBound): string {
  const two = (value: number) => String(value).padStart(2, '0');
  const time = `${two(bound.hour)}:${two(bound.minute)}`;
  return bound.kind === 'daily'
    ? time
    : `${bound.year}-${two(bound.month)}-${two(bound.day)} ${time}`;
}
