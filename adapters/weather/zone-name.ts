import { z } from 'zod';
import type { LocalTime, SiteClock } from '../site-clock.ts';
import type { WeatherContext } from './source.ts';

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
