import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planChange } from '../../calc/schedule/plan-change.ts';

/** What a plan changes against the one before it, one line a bed; one line when it is nothing. */
export function changeLines(
  before: DayPlan,
  after: DayPlan,
  given: { fromMs: number; show: UnitDisplay },
): string[] {
  const { fromMs, show } = given;
  const changes = planChange(before, after, fromMs);
  if (changes.length === 0) return ['Nothing to come changes.'];
  return changes.map((change) => {
    const moved = change.moved === 0 ? '' : `, ${change.moved} at another time or dose`;
    return `${change.name}: ${counted(change.cyclesAfter)} (were ${change.cyclesBefore}), ${show.depth(change.netMmAfter)} (were ${show.depth(change.netMmBefore)})${moved}`;
  });
}

function counted(cycles: number): string {
  return cycles === 1 ? '1 cycle' : `${cycles} cycles`;
}
