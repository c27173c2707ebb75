import type { ConfirmedPlan } from '../../adapters/contract.ts';
import { standingRuns } from '../../adapters/standing-runs.ts';
import type { FormerCycle } from '../../calc/schedule/former-places.ts';
import type { KeptCycle } from '../../calc/schedule/kept-cycle.ts';

/**
 * Cycles of the plan in force that run over `fromMs` or begin before `untilMs`: a new plan leaves
 * them as they are, because they may have begun before anyone can confirm it. Pure.
 */
export function keptCycles(
  inForce: ConfirmedPlan | null,
  fromMs: number,
  untilMs: number,
): KeptCycle[] {
  if (inForce === null) return [];
  const runs = standingRuns(inForce);
  return inForce.plan.beds.flatMap(({ bedId, cycles }) =>
    cycles.flatMap((cycle) => {
      const own = runs.filter((run) => run.bedId === bedId && run.cycle === cycle.cycle);
      if (own.length === 0 || cycle.endMs <= fromMs || cycle.startMs >= untilMs) return [];
      const { startMs, endMs, grossMm, netMm, rotations, driftLossFraction } = cycle;
      return [{ bedId, startMs, endMs, grossMm, netMm, rotations, driftLossFraction, runs: own }];
    }),
  );
}

/** Cycles of the plan in force from `fromMs` on: a new plan leaves them there where it can. Pure. */
export function formerCycles(inForce: ConfirmedPlan | null, fromMs: number): FormerCycle[] {
  if (inForce === null) return [];
  const runs = standingRuns(inForce);
  return inForce.plan.beds.flatMap(({ bedId, cycles }) =>
    cycles
      .filter(
        (cycle) =>
          cycle.startMs >= fromMs &&
          runs.some((run) => run.bedId === bedId && run.cycle === cycle.cycle),
      )
      .map(({ startMs, rotations }) => ({ bedId, startMs, rotations })),
  );
}
