import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { DryMove } from '../../calc/schedule/dry-moves.ts';
import type { PlanWarning, RevisionChange } from '../../calc/schedule/plan-warning.ts';

const WIND_STEP_M_PER_S = 1;
const TEMP_STEP_K = 1;
const RAIN_STEP_MM = 0.5;
const STORE_STEP_MM = 0.05;

/** Why a plan was made anew: which bed, from when to when, and what changed. Pure. */
export function revisedWarning(
  move: DryMove,
  plans: { before: DayPlan; after: DayPlan },
): PlanWarning {
  const { bedId, beforeMs, afterMs, moveMin } = move;
  const changes = whatChanged(move, plans);
  return { code: 'revised', bedId, beforeMs, afterMs, moveMin, changes };
}

function whatChanged(
  { moveMin, storeBeforeMm, storeAfterMm }: DryMove,
  { before, after }: { before: DayPlan; after: DayPlan },
): RevisionChange[] {
  const [was, is] = [before.weather, after.weather];
  // A later plan sees less of the day: what is lower in it may only be over. Before noon the day's
  // highest are still to come.
  const wholeAhead = after.madeAtMs < ((after.sunriseMs ?? 0) + (after.sunsetMs ?? 0)) / 2;
  const differs = (now: number, then: number, step: number) =>
    now - then >= step || (wholeAhead && then - now >= step);
  const changes: RevisionChange[] = [];
  if (differs(is.windMaxMPerS, was.windMaxMPerS, WIND_STEP_M_PER_S)) {
    changes.push({ kind: 'wind', wasMPerS: was.windMaxMPerS, isMPerS: is.windMaxMPerS });
  }
  if (differs(is.highC, was.highC, TEMP_STEP_K)) {
    changes.push({ kind: 'high', wasC: was.highC, isC: is.highC });
  }
  if (differs(is.rainMm, was.rainMm, RAIN_STEP_MM)) {
    changes.push({ kind: 'rain', wasMm: was.rainMm, isMm: is.rainMm });
  }
  if (Math.abs(storeAfterMm - storeBeforeMm) >= STORE_STEP_MM) {
    changes.push({ kind: 'store', wasMm: storeBeforeMm, isMm: storeAfterMm });
  }
  return changes.length > 0 ? changes : [{ kind: moveMin < 0 ? 'faster' : 'slower' }];
}
