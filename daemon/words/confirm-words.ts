import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planChange } from '../../calc/schedule/plan-change.ts';
import type { PlanStanding } from '../site/gate/gate.ts';
import type { PlanCause, StoredPlan } from '../site/store/plans.ts';

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

const WHY: Readonly<Record<Exclude<PlanCause, 'morning'>, string>> = {
  person: 'because a person asked for it',
  weather: 'because the beds dry at other times than the plan before it said',
  restart: 'because the daemon was away or its clock was set',
  hold_over: 'because the time meant for a hold has passed',
};

/** Why a plan was made, in one sentence. */
export function sayCause(
  { cause, plan }: Pick<StoredPlan, 'cause' | 'plan'>,
  clock: SiteClock,
): string {
  const at = clock.timeOf(plan.madeAtMs);
  return cause === 'morning' ? `Morning plan, made at ${at}.` : `Made at ${at} ${WHY[cause]}.`;
}

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

/** Minutes in daylight for which a bed is expected dry, before a change and after it. */
interface DryBed {
  name: string;
  /** Null: there was no plan before. */
  beforeMin: number | null;
  afterMin: number;
}

/**
 * The harm of a change, bed by bed, before anything else that it does: who will be dry for how long,
 * those that lose most first. One line when nobody is.
 */
export function dryLines(beds: readonly DryBed[]): string[] {
  const dry = beds
    .filter(({ beforeMin, afterMin }) => afterMin > 0 || (beforeMin ?? 0) > 0)
    .toSorted((a, b) => gainOf(b) - gainOf(a) || b.afterMin - a.afterMin);
  if (dry.length === 0) return ['No bed gets dry in daylight.'];
  return dry.map(({ name, beforeMin, afterMin }) => {
    const was = beforeMin === null || beforeMin === afterMin ? '' : ` (before: ${beforeMin} min)`;
    return afterMin > 0
      ? `${name}: dry for ${afterMin} min in daylight${was}.`
      : `${name}: not dry any more${was}.`;
  });
}

function gainOf({ beforeMin, afterMin }: DryBed): number {
  return afterMin - (beforeMin ?? 0);
}
