import { z } from 'zod';
import type { LocalTime, SiteClock, SiteDay } from '../../../adapters/site-clock.ts';
import { causeOfKeepOff, type KeepOff, type KeepOffCause } from '../../../calc/schedule/site.ts';
import { parseSiteDay } from '../time/site-clock.ts';
import { idSchema } from './site-schema.ts';
import type { PermittedConfig } from './water-supply.ts';

/** Days of the week as the config writes them, Monday first. */
const WEEKDAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;

/** A bound of a keep-off: a dated minute, or a minute of every day. */
type KeepOffBound =
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

/** A keep-off of the config with its beds named. */
export interface KeepOffRule extends KeepOffCause {
  bedIds: string[];
  from: KeepOffBound;
  to: KeepOffBound;
  /** Days of the week of a daily keep-off, 0 for Monday to 6 for Sunday; null for every day. */
  weekdays: number[] | null;
}

/** The config's keep-offs with their beds named. */
export function toKeepOffRules(
  keepOffs: readonly KeepOffConfig[],
  bedIds: readonly string[],
): KeepOffRule[] {
  return keepOffs.map(({ beds, from, to, why, days }) => ({
    bedIds: beds === 'all' ? [...bedIds] : [...new Set(beds)],
    from,
    to,
    why,
    weekdays: days ? days.map((day) => WEEKDAYS.indexOf(day)) : null,
  }));
}

/**
 * The keep-offs that touch a site day, at their whole length, in order of time. A daily keep-off
 * that ends at or before its begin runs into the next day, so the evening before is looked at too:
 * asking for two days in a row gives such a keep-off twice.
 */
export function keepOffsOn(
  day: SiteDay,
  config: { keepOffRules: readonly KeepOffRule[] },
  clock: SiteClock,
): KeepOff[] {
  const dayStartMs = clock.startOf(day);
  const dayEndMs = clock.startOf(clock.addDays(day, 1));
  const found: KeepOff[] = [];
  for (const rule of config.keepOffRules) {
    for (const stretch of stretchesOf(rule, day, clock)) {
      if (stretch.endMs <= dayStartMs || stretch.startMs >= dayEndMs) continue;
      for (const bedId of rule.bedIds) found.push({ bedId, ...stretch, ...causeOfKeepOff(rule) });
    }
  }
  return found.sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
}

interface Stretch {
  startMs: number;
  endMs: number;
}

function stretchesOf(rule: KeepOffRule, day: SiteDay, clock: SiteClock): Stretch[] {
  const { from, to, weekdays } = rule;
  if (from.kind === 'dated' && to.kind === 'dated') {
    return nonEmpty({ startMs: clock.instantOf(from), endMs: clock.instantOf(to) });
  }
  const overnight = to.hour * 60 + to.minute <= from.hour * 60 + from.minute;
  const beginDays = overnight ? [clock.addDays(day, -1), day] : [day];
  return beginDays
    .filter((begin) => weekdays === null || weekdays.includes(weekdayOf(begin)))
    .flatMap((begin) =>
      nonEmpty({
        startMs: boundInstant(begin, from, clock),
        endMs: boundInstant(overnight ? clock.addDays(begin, 1) : begin, to, clock),
      }),
    );
}

/** A stretch that a clock change swallowed whole is none. */
function nonEmpty(stretch: Stretch): Stretch[] {
  return stretch.endMs > stretch.startMs ? [stretch] : [];
}

function boundInstant(day: SiteDay, bound: KeepOffBound, clock: SiteClock): number {
  const [year = 0, month = 0, dayOfMonth = 0] = day.split('-').map(Number);
  return clock.instantOf({
    year,
    month,
    day: dayOfMonth,
    hour: bound.hour,
    minute: bound.minute,
  });
}

/** 0 for Monday to 6 for Sunday. A calendar day has one weekday whatever the zone. */
function weekdayOf(day: SiteDay): number {
  return (new Date(`${day}T00:00:00Z`).getUTCDay() + 6) % 7;
}

const DAY_MIN = 24 * 60;

/** Keep-offs on all beds over the hours in which water is not permitted; none when all are. */
export function hoursNotPermitted(
  permitted: readonly PermittedConfig[],
  bedIds: readonly string[],
): KeepOffRule[] {
  if (permitted.length === 0) return [];
  const isPermitted = new Array<boolean>(DAY_MIN).fill(false);
  for (const { from, to } of permitted) {
    const length = (minuteOf(to) - minuteOf(from) + DAY_MIN) % DAY_MIN;
    for (let minute = 0; minute < length; minute++) {
      isPermitted[(minuteOf(from) + minute) % DAY_MIN] = true;
    }
  }
  const turns = isPermitted.flatMap((is, minute) =>
    is !== isPermitted[(minute + DAY_MIN - 1) % DAY_MIN] ? [{ is, minute }] : [],
  );
  return turns.flatMap(({ is, minute }, at): KeepOffRule[] => {
    const next = turns[(at + 1) % turns.length];
    if (is || next === undefined) return [];
    const bound = (of: number) => ({
      kind: 'daily' as const,
      hour: Math.floor(of / 60),
      minute: of % 60,
    });
    return [
      {
        bedIds: [...bedIds],
        from: bound(minute),
        to: bound(next.minute),
        why: '',
        kind: 'permit',
        weekdays: null,
      },
    ];
  });
}

function minuteOf(text: string): number {
  const [hour = 0, minute = 0] = text.split(':').map(Number);
  return hour * 60 + minute;
}
