import type { LocalTime } from '../site-clock.ts';

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
export type PatternReader = (text: string) => LocalTime | null;

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
