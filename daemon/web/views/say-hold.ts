import { display } from '../../../adapters/display-units.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { Hold } from '../../store/holds.ts';

/** A standing hold in one line: what, by whom, why, since when, and what it was meant to last. */
export function sayHold(hold: Hold, clock: SiteClock, nowMs: number): string {
  const beds = hold.beds === 'all' ? 'Everything' : hold.beds.join(', ');
  const sinceS = Math.max(0, nowMs - hold.atMs) / 1000;
  const until =
    hold.untilMs === null
      ? ''
      : hold.untilMs <= nowMs
        ? `, was meant to last to ${clock.timeOf(hold.untilMs)}`
        : `, meant to last to ${clock.timeOf(hold.untilMs)}`;
  return `${beds} on hold by ${hold.who} (${hold.why}) since ${clock.timeOf(hold.atMs)}, ${display('metric').duration(sinceS)} so far${until}. Only a fresh plan that is confirmed lifts it.`;
}
