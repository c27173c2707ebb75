import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { type DryMove, dryMoves, type GivenWater } from '../../calc/schedule/dry-moves.ts';
import type { RevisionRule } from '../config/revisions-schema.ts';
import type { PlanCause } from '../store/plans.ts';

/** A plan of the day, as far as a revision asks. */
export interface DayRevision {
  cause: PlanCause;
  plan: DayPlan;
}

/** A move back needs so many times the threshold. */
const BACK_FACTOR = 2;

/**
 * The bed for which a proposal should be kept as a revision, or null when the plans may stay as they
 * are. Pure.
 *
 * The proposal is held against the newest plan, which is what a person reads. Nothing within the
 * quiet time of the last revision; a move back of what that moved needs twice the threshold; and a
 * revision that nobody has confirmed is not undone while the plan in force is right.
 *
 * @param asked.plans Every plan of the site day, oldest first.
 * @param asked.inForce The plan in force, if there is one.
 * @param asked.given Water that was to run through the day: confirmed, sent and not taken out.
 */
export function judgeRevision(asked: {
  plans: readonly DayRevision[];
  inForce: DayPlan | null;
  proposed: DayPlan;
  given: readonly GivenWater[];
  rule: RevisionRule;
}): DryMove | null {
  const { plans, inForce, proposed, given, rule } = asked;
  const newest = plans.at(-1);
  if (newest === undefined) return null;
  const lastIndex = plans.findLastIndex(({ cause }) => cause === 'weather');
  const last = plans[lastIndex];
  const sinceMs = proposed.madeAtMs - (last?.plan.madeAtMs ?? Number.NEGATIVE_INFINITY);
  // A clock that was stepped back must not stretch the quiet time.
  if (sinceMs >= 0 && sinceMs < rule.quietMs) return null;
  const formerly = plans[lastIndex - 1];
  const lastMoves =
    last === undefined || formerly === undefined ? [] : dryMoves(formerly.plan, last.plan, given);
  const neededMin = ({ bedId, moveMin }: DryMove) => {
    const before = lastMoves.find((move) => move.bedId === bedId)?.moveMin ?? 0;
    const back = before * moveMin < 0 && Math.abs(before) >= rule.thresholdMin;
    return back ? BACK_FACTOR * rule.thresholdMin : rule.thresholdMin;
  };
  const moved = dryMoves(newest.plan, proposed, given).filter(
    (move) => Math.abs(move.moveMin) >= neededMin(move),
  );
  // The bed that will be dry first speaks for all; of two, the one that moved further.
  const [first] = moved.toSorted(
    (a, b) => a.afterMs - b.afterMs || Math.abs(b.moveMin) - Math.abs(a.moveMin),
  );
  if (first === undefined) return null;
  const unread = inForce !== null && newest.plan.revision !== inForce.revision;
  if (
    newest.cause === 'weather' &&
    unread &&
    inForce.siteDay === proposed.siteDay &&
    dryMoves(inForce, proposed, given).every((move) => Math.abs(move.moveMin) < rule.thresholdMin)
  ) {
    return null;
  }
  return first;
}
