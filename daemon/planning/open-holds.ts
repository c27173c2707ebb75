import { expectedDry } from '../../calc/schedule/plan-change.ts';
import type { HeldBeds, PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { KeepOff } from '../../calc/schedule/site.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import type { Db } from '../site/store/database.ts';
import {
  covers,
  type HeldBed,
  type Hold,
  type HoldStanding,
  holdLevel,
  openHolds,
} from '../site/store/holds-and-keep-offs.ts';
import { newestPlan, newestPlanBy, type StoredPlan } from '../site/store/plans.ts';
import { waterToRun } from './applied-water.ts';

/** Which open holds a new plan is to lift. */
export type Lift = 'none' | 'all' | readonly string[];

/** What open holds do to a new plan. */
interface HoldEffect {
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

/** Every open hold with the time that its beds have left, as the plans know it. */
export function holdStandings(db: Db, config: LoadedConfig, nowMs: number): HoldStanding[] {
  const newest = newestPlan(db);
  return openHolds(db).map((hold): HoldStanding => {
    const then = newestPlanBy(db, hold.atMs) ?? newest;
    const dryNow = dryTimes(db, config, { stored: newest, atMs: nowMs });
    const dryThen = dryTimes(db, config, { stored: then, atMs: hold.atMs });
    const beds = config.site.beds
      .filter((bed) => covers(hold, bed.id))
      .flatMap(({ id: bedId, name }): HeldBed[] => {
        const dryMs = dryNow(bedId);
        const dryThenMs = dryThen(bedId);
        if (dryMs === null) return [];
        const hadMs = Math.max(0, (dryThenMs ?? dryMs) - hold.atMs);
        const leftMs = Math.max(0, dryMs - nowMs);
        return [{ bedId, name, hadMs, leftMs, dryMs, level: holdLevel({ hadMs, leftMs }) }];
      })
      .toSorted((a, b) => a.dryMs - b.dryMs);
    return { hold, beds, isOver: hold.untilMs !== null && nowMs >= hold.untilMs };
  });
}

/**
 * When a bed gets dry without more water, as a plan and what ran since know it; null: not known.
 * What ran is looked through once for all beds of a site.
 */
function dryTimes(
  db: Db,
  config: LoadedConfig,
  { stored, atMs }: { stored: StoredPlan | null; atMs: number },
): (bedId: string) => number | null {
  if (stored === null) return () => null;
  const given = waterToRun(db, config, { fromMs: stored.plan.startMs, nowMs: atMs }).filter(
    (one) => one.startMs < atMs,
  );
  return (bedId) => {
    const bed = stored.plan.beds.find((one) => one.bedId === bedId);
    if (bed === undefined) return null;
    return expectedDry(bed, atMs, given)?.dryMs ?? bed.dryAtMs;
  };
}
