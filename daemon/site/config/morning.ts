import { z } from 'zod';
import { readQuantity } from '../../../adapters/quantity.ts';
import type { SiteClock, SiteDay } from '../../../adapters/site-clock.ts';
import { sunTimes } from '../../../calc/sky/sun-times.ts';

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

/** When the morning plan is made: against sunrise, or at a wall-clock time. */
export type MorningTime =
  | { kind: 'sunrise'; offsetMin: number }
  | { kind: 'clock'; hour: number; minute: number };

/** Where and when the morning plan is made. */
export interface MorningRule {
  clock: SiteClock;
  latitudeDeg: number;
  longitudeDeg: number;
  morning: MorningTime;
}

/** Where the sun does not rise, the morning begins by the clock. */
const MORNING_WITHOUT_SUNRISE = { hour: 4, minute: 30 };

/**
 * The instant from which a site day's morning plan is owed, always inside that site day.
 */
export function morningOf(day: SiteDay, rule: MorningRule): number {
  const { clock, latitudeDeg, longitudeDeg, morning } = rule;
  const dayStartMs = clock.startOf(day);
  const dayEndMs = clock.startOf(clock.addDays(day, 1));
  const inside = (instantMs: number) => Math.min(Math.max(instantMs, dayStartMs), dayEndMs - 1);
  const byClock = ({ hour, minute }: { hour: number; minute: number }) => {
    const [year, month, dayOfMonth] = day.split('-').map(Number) as [number, number, number];
    return inside(clock.instantOf({ year, month, day: dayOfMonth, hour, minute }));
  };
  if (morning.kind === 'clock') return byClock(morning);
  const { sunriseMs } = sunTimes({ dayStartMs, latitudeDeg, longitudeDeg });
  return sunriseMs === null
    ? byClock(MORNING_WITHOUT_SUNRISE)
    : inside(sunriseMs + morning.offsetMin * 60_000);
}

/**
 * The site day whose morning plan is owed now, or null. Pure: what is owed follows from what the
 * store has, the instant and the rule, so a late wake does the owed work once and a missed day is
 * not made up for.
 */
export function owedMorning(
  nowMs: number,
  rule: MorningRule,
  hasMorningPlan: (day: SiteDay) => boolean,
): SiteDay | null {
  const today = rule.clock.siteDayOf(nowMs);
  if (nowMs < morningOf(today, rule)) return null;
  return hasMorningPlan(today) ? null : today;
}
