import type { SiteDay } from '../site-clock.ts';
import { patternReader } from './stamp-pattern.ts';

/** Reads a calendar day of one pattern; null when the text is not of it. */
export type DayReader = (text: string) => SiteDay | null;

/** A reader for days such as `MM/DD/YYYY`, or null when the pattern leaves the day open. */
export function dayReader(pattern: string): DayReader | null {
  const read = patternReader(`${pattern} hh`);
  if (!read) return null;
  return (text) => {
    const day = read(`${text} 00`);
    if (!day) return null;
    const two = (part: number) => String(part).padStart(2, '0');
    return `${day.year}-${two(day.month)}-${two(day.day)}` as SiteDay;
  };
}
