import type { SiteClock } from '../../adapters/site-clock.ts';
import type { PlanStanding } from '../gate/plan-standing.ts';

/** A plan's standing in one line that cannot be misread. */
export function sayStanding(standing: PlanStanding, clock: SiteClock): string {
  switch (standing.kind) {
    case 'held':
      return 'HELD: nothing of this plan is sent until a person confirms it.';
    case 'confirmed': {
      const held = standing.heldBedIds;
      const less = held.length === 0 ? '' : ` On hold since: ${held.join(', ')}.`;
      return `CONFIRMED by ${standing.who} at ${clock.timeOf(standing.atMs)}.${less}`;
    }
    case 'stopped':
      return `ON HOLD: confirmed by ${standing.who} at ${clock.timeOf(standing.atMs)}, then everything was stopped.`;
    case 'replaced':
      return `REPLACED: confirmed by ${standing.who} at ${clock.timeOf(standing.atMs)}, then another plan was confirmed.`;
  }
}
