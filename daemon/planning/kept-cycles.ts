import type { ConfirmedPlan } from '../../adapters/contract.ts';
import { standingRuns } from '../../adapters/standing-runs.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { FormerCycle } from '../../calc/schedule/former-places.ts';
import type { KeptCycle } from '../../calc/schedule/kept-cycle.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { StoredPlan } from '../store/plans.ts';

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

/**
 * Cycles from `fromMs` on of the plan that people look at: a new plan leaves them there where it can.
 * That is the newest plan where a person's act or the morning has made it, so that a second act
 * changes no more than it has to; a revision that the weather asked for and nobody confirmed is none
 * to hold on to: then it is the plan in force. Pure.
 */
export function formerCycles(
  inForce: ConfirmedPlan | null,
  newest: Pick<StoredPlan, 'cause' | 'plan'> | null,
  fromMs: number,
): FormerCycle[] {
  const isLookedAt =
    newest !== null &&
    (inForce === null ||
      (newest.cause !== 'weather' && newest.plan.madeAtMs > inForce.plan.madeAtMs));
  if (isLookedAt) return cyclesOf(newest.plan, newest.plan.runs, fromMs);
  return inForce === null ? [] : cyclesOf(inForce.plan, standingRuns(inForce), fromMs);
}

function cyclesOf(plan: DayPlan, runs: readonly Run[], fromMs: number): FormerCycle[] {
  return plan.beds.flatMap(({ bedId, cycles }) =>
    cycles.flatMap(({ cycle, startMs }) => {
      const own = runs.filter((run) => run.bedId === bedId && run.cycle === cycle);
      if (own.length === 0 || startMs < fromMs) return [];
      const turns = own.map(({ stationId, rotations }) => ({ stationId, rotations }));
      return [{ bedId, startMs, runs: turns }];
    }),
  );
}
