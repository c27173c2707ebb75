import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import type { NightWater } from '../../calc/schedule/night-water.ts';
import { instantOn } from './instant-on.ts';
import type { NightWaterConfig } from './night-water-schema.ts';

/** The exceptions on a site day, with the hours as instants. */
export function planNight(
  night: NightWaterConfig | null,
  day: SiteDay,
  clock: SiteClock,
): NightWater | null {
  if (night === null) return null;
  const { dry_wind: dryWind, first_night: firstNight, deep_refill: refill } = night;
  if (refill === undefined) return { dryWind, firstNight, deepRefill: null };
  const [from = '', to = ''] = refill.split('-');
  return {
    dryWind,
    firstNight,
    deepRefill: { startMs: instantOn(day, from, clock), endMs: instantOn(day, to, clock) },
  };
}
