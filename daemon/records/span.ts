import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';

/** Most days that one record may cover: two seasons. */
export const MOST_DAYS = 732;

/** The site days that a record covers, and the instants at which they begin and end. */
export interface Span {
  days: { siteDay: SiteDay; startMs: number; endMs: number }[];
  fromMs: number;
  toMs: number;
}

/** The days from one to another, both among them. A day has 23 or 25 hours where the clock changes. */
export function spanOf(from: SiteDay, to: SiteDay, clock: SiteClock): Span {
  const days: Span['days'] = [];
  for (let siteDay = from; siteDay <= to; siteDay = clock.addDays(siteDay, 1)) {
    if (days.length === MOST_DAYS) {
      throw new RangeError(
        `span: more than ${MOST_DAYS} days (got ${from} to ${to}); ask for a shorter one`,
      );
    }
    days.push({
      siteDay,
      startMs: clock.startOf(siteDay),
      endMs: clock.startOf(clock.addDays(siteDay, 1)),
    });
  }
  const first = days[0];
  const last = days.at(-1);
  if (first === undefined || last === undefined) {
    throw new RangeError(`span: ends before it begins (got ${from} to ${to}); turn it round`);
  }
  return { days, fromMs: first.startMs, toMs: last.endMs };
}
