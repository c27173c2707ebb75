import { type DisplayUnits, display } from '../../adapters/display-units.ts';
import type { Language } from '../../adapters/language.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { Reader } from './plan-words.ts';

/** Whom a site's plans are told to; English where no language is asked for. */
export function readerOf(given: {
  clock: SiteClock;
  units: DisplayUnits;
  language?: Language;
}): Reader {
  const { clock, units, language = 'en' } = given;
  return { language, clock, show: display(units) };
}
