import { adoptBalance } from './bed-balance.ts';
import { cyclesWithReasons } from './cycle-reasons.ts';
import type { DayLayout } from './day-layout.ts';
import { shareWater, tryJoinedTurns } from './dry-beds.ts';
import { type FormerCycle, keepFormerPlaces } from './former-places.ts';
import { fillGaps, type SearchBudget } from './gap-filling.ts';
import { improvedPlacement } from './improved-placement.ts';
import {
  type PassResult,
  type PlacedCycle,
  type PlacementInput,
  placementPass,
} from './placement-pass.ts';
import { type ObstructedStart, obstructedStarts } from './shortages.ts';
import { smoothLoad } from './smooth-load.ts';
import { SLOT_MS } from './supply-timeline.ts';

/** Starts tried at most for dry beds in one plan; a thousand take a third of a millisecond. */
const MOST_TRIES = 16_000_000;
const MOST_TRIES_TO_SHARE = 100_000;
/** Little: a season is planned day by day, and every dry day pays for it. */
const MOST_TRIES_TO_JOIN = 150_000;

export interface Placement {
  cycles: PlacedCycle[];
  /** What stood at the starts around shortages. */
  obstructed: ObstructedStart[];
  /** False where the work that it may take ran out while beds were dry: more of it might help them. */
  isSettled: boolean;
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
 * the plan in force serves a bed as well, its cycles stay where that has them, and beds that are dry
 * even so get what still fits. Reasons are told from the finished day. The beds' balances are brought
 * up to date in place.
 *
 * Ties go by bed id, so that the order of beds in the config decides nothing.
 */
export function placeCycles(
  given: Omit<PlacementInput, 'slotMs'> & {
    slotMs?: number;
    /** What is left of the work that plans may take which are only tried; left out: a plan's own. */
    tries?: SearchBudget;
    former?: readonly FormerCycle[];
  },
): Placement {
  const { first, input } = passWithLeast({ ...given, slotMs: given.slotMs ?? SLOT_MS });
  const layout = improvedPlacement(input, first);
  smoothLoad(layout);
  const tries = given.tries ?? { most: MOST_TRIES };
  const fill = (one: DayLayout) => fillGaps(one, tries);
  fill(layout);
  tryJoinedTurns(layout, { most: Math.min(tries.most, MOST_TRIES_TO_JOIN) });
  const { former = [] } = given;
  if (former.length > 0) {
    // Former places are held against a day that has what fits; what they leave dry gets it again.
    keepFormerPlaces(layout, former, fill);
    fill(layout);
  }
  // What one bed gives to another leaves gaps of its own.
  if (shareWater(layout, { most: Math.min(tries.most, MOST_TRIES_TO_SHARE) })) fill(layout);
  const cycles = layout.beds.flatMap((bed) => cyclesWithReasons(layout, bed));
  const obstructed = layout.beds.flatMap((bed) => obstructedStarts(layout, bed));
  for (const bed of layout.beds) adoptBalance(bed.placing.balance, bed.balance);
  cycles.sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
  return { cycles, obstructed, isSettled: tries.most > 0 };
}

/**
 * The first pass by need. Beds that it gives fewer cycles than a seedbed's least get those; of the
 * others none are asked any more.
 */
function passWithLeast(given: PlacementInput): { first: PassResult; input: PlacementInput } {
  const byNeed = { ...given, beds: given.beds.map((bed) => ({ ...bed, leastCycles: 0 })) };
  const needed = placementPass(byNeed);
  const beds = given.beds.map((bed) => {
    const count = needed.cycles.filter(({ bedId }) => bedId === bed.bed.id).length;
    return { ...bed, leastCycles: count < (bed.leastCycles ?? 0) ? (bed.leastCycles ?? 0) : 0 };
  });
  const input = { ...given, beds };
  const isMet = beds.every(({ leastCycles }) => leastCycles === 0);
  return { first: isMet ? needed : placementPass(input), input };
}
