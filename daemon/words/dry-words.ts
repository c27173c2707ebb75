import { display } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';

/** How long a bed lasts without water: "dry now", "1 h 20 min, to 11:40", "not before tomorrow". */
export function sayTimeToDry(dryAtMs: number | null, nowMs: number, clock: SiteClock): string {
  if (dryAtMs === null) return 'not before tomorrow';
  if (dryAtMs <= nowMs) return 'dry now';
  const wholeMinutes = Math.floor((dryAtMs - nowMs) / 60_000);
  const left = display('metric').duration(wholeMinutes * 60);
  const day = clock.siteDayOf(dryAtMs) === clock.siteDayOf(nowMs) ? '' : ' tomorrow';
  return `${left}, to ${clock.timeOf(dryAtMs)}${day}`;
}
