import type { HeldBeds, PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { KeepOff } from '../../calc/schedule/site.ts';
import { covers, type Hold } from '../store/holds.ts';

/** Which open holds a new plan is to lift. */
export type Lift = 'none' | 'all' | readonly string[];

/** What open holds do to a new plan. */
export interface HoldEffect {
  keepOffs: KeepOff[];
  notes: PlanWarning[];
  /** Holds that a confirm of the plan lifts. */
  lifts: number[];
}

/**
 * Turns open holds into keep-offs of a new plan. Pure.
 *
 * A hold with an `until` keeps its beds dry up to then, and the plan waters them afterwards; a hold
 * without one keeps them dry all day, unless the person asks for a plan that lifts it. Either way a
 * hold is lifted only when the plan that waters its beds again is confirmed.
 *
 * @param lift Beds whose holds the person wants lifted; a hold counts when all its beds are named.
 */
export function holdEffect(input: {
  holds: readonly Hold[];
  lift: Lift;
  bedIds: readonly string[];
  fromMs: number;
  endMs: number;
}): HoldEffect {
  const { holds, lift, bedIds, fromMs, endMs } = input;
  const keepOffs: KeepOff[] = [];
  const lifts: number[] = [];
  const notes: PlanWarning[] = [];
  const note = ({ beds, who, why, atMs: sinceMs, untilMs }: Hold, effect: HeldBeds['effect']) => {
    const held = beds === 'all' ? beds : [...beds];
    const stop = { beds: held, who, why, sinceMs, effect, untilMs };
    notes.push({ code: 'bed_held', bedId: null, stop });
  };
  for (const hold of holds) {
    const covered = bedIds.filter((bedId) => covers(hold, bedId));
    const asked = lift === 'all' || (lift !== 'none' && covered.every((id) => lift.includes(id)));
    if (asked) {
      lifts.push(hold.holdId);
      note(hold, 'lifted');
      continue;
    }
    const untilMs = hold.untilMs ?? Number.POSITIVE_INFINITY;
    if (untilMs < endMs) {
      lifts.push(hold.holdId);
      note(hold, 'lifted_later');
    } else {
      note(hold, 'stands');
    }
    for (const bedId of covered) {
      keepOffs.push({
        bedId,
        startMs: Math.min(fromMs, hold.atMs),
        endMs: Math.min(untilMs, endMs),
        why: hold.why,
        kind: 'stopped',
        who: hold.who,
      });
    }
  }
  return { keepOffs, notes, lifts };
}
