import { takeOver } from './bed-balance.ts';
import { type FormerCycle, keepPlaces } from './former-places.ts';
import { improvedPlacement } from './improved-placement.ts';
import { levelFlow } from './level-flow.ts';
import {
  type Blocked,
  type PlacedCycle,
  type PlacementInput,
  placementPass,
} from './placement-pass.ts';
import { retoldBed } from './retold-bed.ts';
import { SLOT_MS } from './supply-timeline.ts';

export interface Placement {
  cycles: PlacedCycle[];
  blocked: Blocked[];
}

/**
 * Lays the beds' cycles against each other under the supply's limits.
 *
 * The bed whose seedbed reaches its reserve first is served first. Its cycle goes as late as is
 * safe, because a later dose meets more room and so fewer cycles are needed; where the supply or a
 * keep-off is in the way it slides earlier, while a rotation still fits into the store, and only
 * then later. Every cycle booked changes when its bed is next owed, so the queue is worked through
 * to the end of the day.
 *
 * Where a bed comes too late that way, it is laid anew over its whole day, alone or with one or two
 * of the beds around it; the day with the fewest minutes below the reserve stays, of such days the
 * one with the fewest cycles, of these the one with the least water. At the end cycles are spread
 * within their windows so that the pump's flow stays level; where
 * the plan in force serves a bed as well, its cycles stay where that has them. The beds' balances are brought up to
 * date in place.
 *
 * Ties go by bed id, so that the order of beds in the config decides nothing.
 */
export function placeCycles(
  given: Omit<PlacementInput, 'slotMs'> & {
    slotMs?: number;
    former?: readonly FormerCycle[];
  },
): Placement {
  const input: PlacementInput = { ...given, slotMs: given.slotMs ?? SLOT_MS };
  const first = placementPass(input);
  const layout = improvedPlacement(input, first);
  levelFlow(layout);
  keepPlaces(layout, given.former ?? []);
  const cycles: PlacedCycle[] = [];
  const blocked: Blocked[] = [];
  for (const bed of layout.beds) {
    const bedId = bed.placing.bed.id;
    if (bed.isRelaid) {
      const retold = retoldBed(layout, bed);
      cycles.push(...retold.cycles);
      blocked.push(...retold.blocked);
    } else {
      cycles.push(...first.cycles.filter((cycle) => cycle.bedId === bedId));
      blocked.push(...first.blocked.filter((one) => one.bedId === bedId));
    }
    takeOver(bed.placing.balance, bed.balance);
  }
  cycles.sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
  return { cycles, blocked };
}
