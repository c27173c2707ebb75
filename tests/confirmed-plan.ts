import type { Confirmation, ConfirmedPlan } from '../adapters/contract.ts';
import { planDigest, planDocument } from '../adapters/plan-document.ts';
import type { SiteClock } from '../adapters/site-clock.ts';
import type { DayPlan } from '../calc/schedule/day-plan.ts';

/**
 * FOR TESTS ONLY: a confirmed plan without the gate, by a cast that no other code may use. What it
 * stands for (a person confirmed this very digest) is what the gate's own tests show.
 */
export function confirmedForTest(given: {
  plan: DayPlan;
  clock: SiteClock;
  confirmation?: Partial<Confirmation>;
  heldBedIds?: readonly string[];
}): ConfirmedPlan {
  const { plan, clock } = given;
  return {
    plan,
    digest: planDigest(planDocument(plan, clock)),
    confirmation: {
      who: 'A. Tester (invented)',
      atMs: plan.madeAtMs + 5 * 60_000,
      cautions: ['turf_clear', 'injector_off', 'covers_off'],
      ...given.confirmation,
    },
    heldBedIds: given.heldBedIds ?? [],
  } as unknown as ConfirmedPlan;
}
