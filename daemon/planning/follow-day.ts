import { standingCycles } from '../../adapters/plan-document.ts';
import { changeWithin, cyclesOfPlan } from '../../calc/schedule/leeway-change.ts';
import { supplyRule } from '../../calc/schedule/supply-rule.ts';
import { standingPlan } from '../site/gate/gate.ts';
import { type AskedChange, isMeasuredLately } from '../site/gate/use-leeway.ts';
import { confirmedCycles } from '../site/gate/within-leeway.ts';
import { newestLeewayUse } from '../site/store/leeway-uses.ts';
import { everyLook } from '../site/store/looks.ts';
import { newestConfirmation } from '../site/store/plans.ts';
import type { PlanningContext } from './planning-context.ts';
import { prepareProposal } from './propose-plan.ts';

/** What a look at a day that is followed within its leeway came to. */
export interface FollowedDay {
  /** What to change; null: it may stand as it stands. */
  change: AskedChange | null;
  /** Beds that want more than their leeway lets them have. */
  beyondBedIds: string[];
}

/**
 * Looks at a day whose plan was confirmed with its leeway, and works out what to change of it. Null:
 * there is none, water was stopped, or the plan no longer fits the site.
 *
 * Without anything measured of late the day stays as it stands, but for beds that somebody has found
 * dry since the last change: they may get a spare.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to reckon with.
 */
export async function workOutFollowing(context: PlanningContext): Promise<FollowedDay | null> {
  const { db, config, nowMs } = context;
  const inForce = newestConfirmation(db);
  const { leewayBedIds = null } = inForce ?? {};
  if (inForce === null || leewayBedIds === null || nowMs >= inForce.stored.plan.endMs) return null;
  const { confirmationId, stored, atMs } = inForce;
  const { leeway } = stored.plan;
  const confirmed = standingPlan(db, confirmationId);
  if (leeway === undefined || confirmed === null || confirmed.heldBedIds.length > 0) return null;
  const newest = newestLeewayUse(db, confirmationId);
  const sinceMs = newest?.atMs ?? atMs;
  const dryBedIds = everyLook(db)
    .filter((look) => look.surface === 'dry' && look.undoneMs === null && look.atMs >= sinceMs)
    .map(({ bedId }) => bedId);
  const proposal = (await prepareProposal(context, { lift: 'none', isSketch: true }))();
  const { plan, measuredMs } = proposal;
  const isMeasured = isMeasuredLately(measuredMs, nowMs);
  const followed = isMeasured ? leewayBedIds : leewayBedIds.filter((id) => dryBedIds.includes(id));
  if (followed.length === 0) return { change: null, beyondBedIds: [] };
  const { change, beyondBedIds } = changeWithin({
    confirmed: confirmedCycles({ plan: stored.plan, confirmedMs: atMs }),
    standing: standingCycles(confirmed),
    proposed: cyclesOfPlan(plan),
    leeway: { ...leeway, beds: leeway.beds.filter(({ bedId }) => followed.includes(bedId)) },
    fromMs: plan.firstRunMs,
    mayAdd: (bedId) => isMeasured || dryBedIds.includes(bedId),
    supply: supplyRule(config.site),
  });
  if (change === null) return { change: null, beyondBedIds };
  const afterNumber = newest?.number ?? 0;
  const { cycles } = change;
  return {
    change: { confirmationId, afterNumber, cycles, measuredMs, dryBedIds },
    beyondBedIds,
  };
}
