import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import { parseSiteDay } from '../time/site-clock.ts';

/** First day of the season that a site day lies in: the newest of its yearly first days. */
export function seasonStart(siteDay: SiteDay, seasonFrom: string): SiteDay {
  const year = Number(siteDay.slice(0, 4));
  const own = parseSiteDay(`${year}-${seasonFrom}`);
  const last = parseSiteDay(`${year - 1}-${seasonFrom}`);
  if (own === null || last === null) {
    throw new RangeError(
      `season_from: no day of every year (got ${seasonFrom}); write it like 04-01`,
    );
  }
  return siteDay >= own ? own : last;
}

/** The instant from which water counts for the season. */
export function seasonStartMs(siteDay: SiteDay, seasonFrom: string, clock: SiteClock): number {
  return clock.startOf(seasonStart(siteDay, seasonFrom));
}
