import { type DisplayUnits, display } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { Reader } from './plan-words.ts';

/** Whom a site's plans are told to. */
export function readerOf({ clock, units }: { clock: SiteClock; units: DisplayUnits }): Reader {
  return { language: 'en', clock, show: display(units) };
}
