import { z } from 'zod';
import type { LocalTime, SiteClock, SiteDay } from '../site-clock.ts';
import type { WeatherContext } from './source.ts';

/** The parts that a stated pattern may name, and the digits that each takes. */
const TOKENS: Record<string, string> = {
  YYYY: '(?<year>\\d{4})',
  YY: '(?<shortYear>\\d{2})',
  MM: '(?<month>\\d{2})',
  M: '(?<month>\\d{1,2})',
  DD: '(?<day>\\d{2})',
  D: '(?<day>\\d{1,2})',
  hh: '(?<hour>\\d{2})',
  h: '(?<hour>\\d{1,2})',
  mm: '(?<minute>\\d{2})',
  ss: '(?<second>\\d{2})',
  A: '(?<half>[AaPp]\\.?[Mm]\\.?)',
};
const TOKEN = /YYYY|YY|MM|M|DD|D|hh|h|mm|ss|A/g;

/** Reads a wall-clock text of one pattern; null when the text is not of it or is no date. */
type PatternReader = (text: string) => LocalTime | null;

/**
 * A reader for a pattern such as `MM/DD/YYYY hh:mm`, or null when the pattern leaves the date or
 * the hour open. Tokens: YYYY or YY (of 2000 to 2099), MM or M, DD or D, hh or h (0 to 24), mm,
 * ss, and A for AM and PM. All else stands for itself.
 */
export function patternReader(pattern: string): PatternReader | null {
  const tokens: string[] = pattern.match(TOKEN) ?? [];
  const has = (...names: string[]) => tokens.filter((token) => names.includes(token)).length === 1;
  const complete = has('YYYY', 'YY') && has('MM', 'M') && has('DD', 'D') && has('hh', 'h');
  const repeats = new Set(tokens).size !== tokens.length;
  if (!complete || repeats) return null;
  const source = pattern
    .split(/(YYYY|YY|MM|M|DD|D|hh|h|mm|ss|A)/)
    .map((part) => TOKENS[part] ?? part.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'))
    .join('');
  const whole = new RegExp(`^${source}$`);
  return (text) => {
    const found = whole.exec(text)?.groups;
    if (!found) return null;
    const { year, shortYear, month, day, hour, minute = '0', half } = found;
    const clockHour = half === undefined ? Number(hour) : from12(Number(hour), half);
    if (clockHour === null) return null;
    return calendarTime({
      year: year === undefined ? 2000 + Number(shortYear) : Number(year),
      month: Number(month),
      day: Number(day),
      hour: clockHour,
      minute: Number(minute),
    });
  };
}

/** The time with hour 24 as the next day's midnight; null when it is no time of the calendar. */
export function calendarTime(time: LocalTime): LocalTime | null {
  const { year, month, day, hour, minute } = time;
  if (hour > 24 || minute > 59 || (hour === 24 && minute > 0)) return null;
  const date = new Date(Date.UTC(year, month - 1, day));
  const exists =
    year >= 1900 && date.getUTCMonth() === month - 1 && date.getUTCDate() === day && hour >= 0;
  if (!exists) return null;
  if (hour < 24) return time;
  const next = new Date(Date.UTC(year, month - 1, day + 1));
  return {
    year: next.getUTCFullYear(),
    month: next.getUTCMonth() + 1,
    day: next.getUTCDate(),
    hour: 0,
    minute: 0,
  };
}

function from12(hour: number, half: string): number | null {
  if (hour < 1 || hour > 12) return null;
  return (hour % 12) + (half.toLowerCase().startsWith('p') ? 12 : 0);
}

/** Reads a calendar day of one pattern; null when the text is not of it. */
type DayReader = (text: string) => SiteDay | null;

/** A reader for days such as `MM/DD/YYYY`, or null when the pattern leaves the day open. */
export function dayReader(pattern: string): DayReader | null {
  const read = patternReader(`${pattern} hh`);
  if (!read) return null;
  return (text) => {
    const day = read(`${text} 00`);
    if (!day) return null;
    const two = (part: number) => String(part).padStart(2, '0');
    return `${day.year}-${two(day.month)}-${two(day.day)}` as SiteDay;
  };
}

/** Minutes of three weeks. */
const MOST_KNOWN = 30_000;
const FIXED = /^(?:utc)?([+-])(\d{1,2})(?::?(\d{2}))?$/i;

/**
 * A zone of stamps: an IANA name, or a fixed offset as `UTC-8` or `-08:00` for clocks that stay on
 * standard time all year. Fixed offsets come out as `UTC-8`, `UTC+5:30`.
 */
export const zoneName = z.string().transform((text, context) => {
  const fixed = FIXED.exec(text.trim());
  if (fixed) {
    const [, sign, hours, minutes] = fixed;
    const ending = minutes === undefined || minutes === '00' ? '' : `:${minutes}`;
    if (Number(hours) <= 14) return `UTC${sign}${Number(hours)}${ending}`;
  } else if (isIana(text)) {
    return text;
  }
  context.issues.push({
    code: 'custom',
    input: text,
    message: `is no time zone (got ${text}); write an IANA name such as America/Denver, or UTC-7`,
  });
  return z.NEVER;
});

function isIana(text: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: text });
    return text !== '';
  } catch {
    return false;
  }
}

/** What the reading of stamps needs of a calendar. */
export type StampClock = Pick<SiteClock, 'instantOf' | 'localOf'>;

/**
 * The calendar of a zone as `zoneName` gives it; the site's when there is none.
 * @throws RangeError when this machine does not know the zone.
 */
export function stampClock(zone: string | undefined, context: WeatherContext): StampClock {
  if (zone === undefined) return remembering(context.clock);
  const fixed = FIXED.exec(zone);
  if (!fixed) return remembering(context.clockIn(zone));
  const [, sign, hours, minutes = '0'] = fixed;
  return fixedClock((sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * 60_000);
}

/** The same rows are asked for again and again, and a calendar takes its time over each. */
function remembering(clock: StampClock): StampClock {
  const known = new Map<number, number>();
  return {
    localOf: (instantMs) => clock.localOf(instantMs),
    instantOf(local) {
      const { year, month, day, hour, minute } = local;
      const key = Date.UTC(year, month - 1, day, hour, minute);
      const before = known.get(key);
      if (before !== undefined) return before;
      if (known.size >= MOST_KNOWN) known.clear();
      const instantMs = clock.instantOf(local);
      known.set(key, instantMs);
      return instantMs;
    },
  };
}

/** A clock that never changes needs no time zone data. */
function fixedClock(offsetMs: number): StampClock {
  return {
    instantOf: ({ year, month, day, hour, minute }: LocalTime) =>
      Date.UTC(year, month - 1, day, hour, minute) - offsetMs,
    localOf: (instantMs) => {
      const shifted = new Date(instantMs + offsetMs);
      return {
        year: shifted.getUTCFullYear(),
        month: shifted.getUTCMonth() + 1,
        day: shifted.getUTCDate(),
        hour: shifted.getUTCHours(),
        minute: shifted.getUTCMinutes(),
      };
    },
  };
}
