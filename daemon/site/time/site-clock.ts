import { DateTime, IANAZone } from 'luxon';
import type { LocalTime, SiteClock, SiteDay } from '../../../adapters/site-clock.ts';

/** True when the name is an IANA zone that this machine's time zone data knows. */
export function isZone(zone: string): boolean {
  return zone.length > 0 && DateTime.local({ zone }).isValid;
}

/** The named text as a site day, or null when it is no calendar day. */
export function parseSiteDay(text: string): SiteDay | null {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return null;
  return DateTime.fromISO(text, { zone: 'utc' }).isValid ? (text as SiteDay) : null;
}

/** The instant of an ISO 8601 text with an offset, or null when it is none. */
function parseInstant(text: string): number | null {
  if (!/(Z|[+-]\d{2}:?\d{2})$/.test(text)) return null;
  const at = DateTime.fromISO(text);
  return at.isValid ? at.toMillis() : null;
}

/** ISO 8601 in UTC, to the millisecond. */
export function utcIso(instantMs: number): string {
  return DateTime.fromMillis(instantMs, { zone: 'utc' }).toISO() ?? '';
}

/**
 * The calendar of a site over its IANA zone.
 * @throws RangeError when the zone does not exist.
 */
export function siteClock(zoneName: string): SiteClock {
  if (!isZone(zoneName)) throw new RangeError(`zone: no such IANA time zone (got ${zoneName})`);
  const zone = IANAZone.create(zoneName);
  const shifted = localDate(zone);
  const instantOf = (local: LocalTime) => earliestInstant(local, zone);
  return {
    zone: zoneName,
    isoOf: (instantMs) => {
      const { date, offsetMin } = shifted(instantMs);
      const text = isoText(date);
      return text === '' ? '' : `${text.slice(0, -'.000Z'.length)}${offsetText(offsetMin)}`;
    },
    timeOf: (instantMs) => isoText(shifted(instantMs).date).slice(-'HH:mm:ss.000Z'.length, -8),
    siteDayOf: (instantMs) => isoText(shifted(instantMs).date).split('T')[0] as SiteDay,
    localOf: (instantMs) => {
      const { date } = shifted(instantMs);
      return {
        year: date.getUTCFullYear(),
        month: date.getUTCMonth() + 1,
        day: date.getUTCDate(),
        hour: date.getUTCHours(),
        minute: date.getUTCMinutes(),
      };
    },
    instantOf,
    startOf: (day) => {
      const { year, month, day: dayOfMonth } = DateTime.fromISO(day, { zone: 'utc' });
      return instantOf({ year, month, day: dayOfMonth, hour: 0, minute: 0 });
    },
    addDays: (day, days) =>
      DateTime.fromISO(day, { zone: 'utc' }).plus({ days }).toISODate() as SiteDay,
  };
}

/** Stretches of which the offset is remembered: a quarter of a year of hours. */
const MOST_STRETCHES = 2048;
const STRETCH_MS = 3_600_000;

/**
 * An instant as a date whose UTC parts are the local ones, with its offset. To ask the zone's data
 * takes longer than all else that is done with an instant, and a plan names thousands: within an
 * hour that begins and ends with the same offset it is asked once.
 */
function localDate(zone: IANAZone): (instantMs: number) => { date: Date; offsetMin: number } {
  const known = new Map<number, number | null>();
  const ofStretch = (stretch: number): number | null => {
    const found = known.get(stretch);
    if (found !== undefined) return found;
    const offsetMin = zone.offset(stretch * STRETCH_MS);
    const steady = offsetMin === zone.offset((stretch + 1) * STRETCH_MS) ? offsetMin : null;
    if (known.size >= MOST_STRETCHES) known.clear();
    known.set(stretch, steady);
    return steady;
  };
  return (instantMs) => {
    const offsetMin = ofStretch(Math.floor(instantMs / STRETCH_MS)) ?? zone.offset(instantMs);
    return { date: new Date(instantMs + offsetMin * 60_000), offsetMin };
  };
}

/** ISO 8601 of the date's UTC parts; empty for what is no instant. */
function isoText(date: Date): string {
  return Number.isNaN(date.getTime()) ? '' : date.toISOString();
}

/** `+05:30`, `-03:00`. */
function offsetText(offsetMin: number): string {
  const whole = Math.abs(Math.trunc(offsetMin));
  const two = (part: number) => String(part).padStart(2, '0');
  return `${offsetMin < 0 ? '-' : '+'}${two(Math.floor(whole / 60))}:${two(whole % 60)}`;
}

/**
 * luxon resolves an ambiguous local time by today's offset, so the same text could differ between
 * July and December: the earliest possible offset is chosen instead. In a spring gap luxon moves
 * forward by the gap; the bound wanted is the gap's end.
 */
function earliestInstant(local: LocalTime, zone: IANAZone): number {
  const { year, month, day, hour, minute } = local;
  const guess = DateTime.fromObject({ year, month, day, hour, minute }, { zone });
  const same = (candidate: DateTime) =>
    candidate.hour === local.hour && candidate.minute === local.minute;
  if (same(guess)) {
    const candidates = guess.getPossibleOffsets().map((candidate) => candidate.toMillis());
    return Math.min(...candidates);
  }
  let low = guess.toMillis() - 4 * 3_600_000;
  let high = guess.toMillis();
  const offsetBefore = DateTime.fromMillis(low, { zone }).offset;
  while (high - low > 1_000) {
    const middle = Math.floor((low + high) / 2_000) * 1_000;
    if (middle === low) break;
    if (DateTime.fromMillis(middle, { zone }).offset === offsetBefore) low = middle;
    else high = middle;
  }
  return high;
}

/** `HH:MM` of the current site day, or ISO 8601 with an offset, as an instant; null when neither. */
export function localOrInstant(text: string, nowMs: number, clock: SiteClock): number | null {
  const wall = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(text.trim());
  if (wall === null) return parseInstant(text.trim());
  const { year, month, day } = clock.localOf(nowMs);
  return clock.instantOf({ year, month, day, hour: Number(wall[1]), minute: Number(wall[2]) });
}
