import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';

/** The instant of a time of day, `HH:MM`, on a site day. */
export function instantOn(day: SiteDay, time: string, clock: SiteClock): number {
  const [year = 0, month = 0, dayOfMonth = 0] = day.split('-').map(Number);
  const [hour = 0, minute = 0] = time.split(':').map(Number);
  return clock.instantOf({ year, month, day: dayOfMonth, hour, minute });
}
