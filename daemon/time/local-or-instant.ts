import type { SiteClock } from '../../adapters/site-clock.ts';
import { parseInstant } from './site-clock.ts';

/** `HH:MM` of the current site day, or ISO 8601 with an offset, as an instant; null when neither. */
export function localOrInstant(text: string, nowMs: number, clock: SiteClock): number | null {
  const wall = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(text.trim());
  if (wall === null) return parseInstant(text.trim());
  const { year, month, day } = clock.localOf(nowMs);
  return clock.instantOf({ year, month, day, hour: Number(wall[1]), minute: Number(wall[2]) });
}
