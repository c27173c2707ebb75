import { takeOver } from './bed-balance.ts';
import { isCheaper, placementCost } from './placement-cost.ts';
import {
  type Blocked,
  type PassResult,
  type PlacedCycle,
  type PlacementInput,
  placementPass,
} from './placement-pass.ts';
import { SLOT_MS } from './supply-timeline.ts';

export interface Placement {
  cycles: PlacedCycle[];
  blocked: Blocked[];
}

/** Passes tried at most when the first leaves a bed short. */
const MOST_PASSES = 3;
/** A head start holds for what is owed up to this long after the trouble. */
const AFTER_MS = 30 * 60_000;

/**
 * Lays the beds' cycles against each other under the supply's limits.
 *
 * The bed whose seedbed reaches its reserve first is served first. Its cycle goes as late as is
 * safe, because a later dose meets more room and so fewer cycles are needed; where the supply or a
 * keep-off is in the way it slides earlier, while a rotation still fits into the store, and only
 * then later. Every cycle booked changes when its bed is next owed, so the queue is worked through
 * to the end of the day.
 *
 * Where a bed comes too late that way, the day is laid again with a head start for it, and with all
 * cycles begun earlier in their windows; the plan with the fewest minutes below the reserve stays,
 * of these the one with the fewest cycles, of these the one with the least water. The beds'
 * balances are brought up to date in place.
 *
 * Ties go by bed id, so that the order of beds in the config decides nothing.
 */
export function placeCycles(
  given: Omit<PlacementInput, 'slotMs'> & { slotMs?: number },
): Placement {
  const input: PlacementInput = { ...given, slotMs: given.slotMs ?? SLOT_MS };
  const best = bestPass(input);
  for (const [index, { balance }] of input.beds.entries()) {
    const tried = best.balances[index];
    if (tried !== undefined) takeOver(balance, tried);
  }
  return { cycles: best.cycles, blocked: best.blocked };
}

function bestPass(input: PlacementInput): PassResult {
  const first = placementPass(input, { headStartMs: () => 0, leadFraction: () => 0 });
  let best = first;
  let bestCost = placementCost(input, best);
  for (const { headStep, leadStep, beforeMs } of STRATEGIES) {
    if (bestCost.minutesBelowReserve === 0) return best;
    let last = first;
    const heads: Blocked[] = [];
    for (let pass = 0; pass < MOST_PASSES; pass++) {
      if (last.blocked.length === 0) break;
      heads.push(...last.blocked);
      const near = (owedAtMs: number) => (head: Blocked) =>
        owedAtMs >= head.atMs - beforeMs && owedAtMs <= head.atMs + AFTER_MS;
      last = placementPass(input, {
        headStartMs: (bedId, owedAtMs) =>
          heads.filter((head) => head.bedId === bedId).filter(near(owedAtMs)).length * headStep,
        leadFraction: (bedId, owedAtMs) =>
          Math.min(
            1,
            heads.filter((head) => head.bedId !== bedId).filter(near(owedAtMs)).length * leadStep,
          ),
      });
      const cost = placementCost(input, last);
      if (isCheaper(cost, bestCost)) {
        best = last;
        bestCost = cost;
      }
      if (cost.minutesBelowReserve === 0) break;
    }
  }
  return best;
}

const MIN = 60_000;
const STRATEGIES = [
  { headStep: 15 * MIN, leadStep: 0, beforeMs: 90 * MIN },
  { headStep: 5 * MIN, leadStep: 0, beforeMs: 30 * MIN },
  { headStep: 0, leadStep: 0.1, beforeMs: 30 * MIN },
  { headStep: 0, leadStep: 0.1, beforeMs: 90 * MIN },
  { headStep: 5 * MIN, leadStep: 0.05, beforeMs: 90 * MIN },
  { headStep: 15 * MIN, leadStep: 0.05, beforeMs: 180 * MIN },
  { headStep: 15 * MIN, leadStep: 0.02, beforeMs: 720 * MIN },
];
