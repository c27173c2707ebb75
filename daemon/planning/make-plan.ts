import { display } from '../../adapters/display-units.ts';
import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import { dayFrame, planDay } from '../../calc/schedule/plan-day.ts';
import { storesBroughtUp } from '../../calc/schedule/stores-brought-up.ts';
import { keepOffsOn } from '../config/keep-offs.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planInForce } from '../gate/gate.ts';
import { confirmationsSince } from '../store/confirmations.ts';
import type { Db } from '../store/database.ts';
import { holdsAgainst, openHolds } from '../store/holds.ts';
import {
  addPlan,
  newestPlan,
  newestPlanOf,
  type PlanCause,
  planById,
  type StoredPlan,
} from '../store/plans.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { appliedRuns } from './applied-runs.ts';
import { holdEffect, type Lift } from './hold-keep-offs.ts';
import { keptCycles } from './kept-cycles.ts';
import { planningWeather } from './plan-weather.ts';
import { sandModels } from './sand-models.ts';

/** What planning works with. */
export interface PlanningContext {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  nowMs: number;
}

/** Time to read a plan before its first new cycle. */
const READING_MS = 5 * 60_000;
/** A store carried on for longer than this from one plan to the next is not worth believing. */
const STORE_VALID_MS = 48 * 3_600_000;

/**
 * Makes a held plan of the current site day and remembers it.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function makePlan(
  context: PlanningContext,
  asked: { cause: PlanCause; who: string; lift: Lift },
): Promise<StoredPlan> {
  const { db, config, weather, nowMs } = context;
  const { site, clock } = config;
  const siteDay = clock.siteDayOf(nowMs);
  const [dayStartMs, nextDayStartMs, afterNextDayStartMs] = [0, 1, 2].map((days) =>
    clock.startOf(clock.addDays(siteDay, days)),
  ) as [number, number, number];
  const days = { dayStartMs, nextDayStartMs, afterNextDayStartMs };
  const frame = dayFrame({ site, ...days });

  // A sand from a lab report may take seconds, the first time: not while the database is locked.
  const stores = bedStores(site.beds, STAGES, sandModels(config.dataFolder));
  const before = newestPlan(db);
  const carryOn = before !== null && nowMs - before.plan.startMs <= STORE_VALID_MS;
  const fromMs = carryOn ? Math.min(before.plan.startMs, nowMs) : nowMs;
  const { hours, reading } = await planningWeather(weather, site, {
    fromMs,
    toMs: Math.max(frame.horizonEndMs, nowMs + 3_600_000),
    nowMs,
    dayStartMs,
  });

  return db
    .transaction((): StoredPlan => {
      const runs = appliedRuns(
        confirmationsSince(db, fromMs).map((confirmation) => ({
          confirmation,
          holds: holdsAgainst(db, confirmation.confirmationId),
        })),
        fromMs,
        nowMs,
      );
      const statesBefore = new Map(
        carryOn ? before.plan.beds.map((bed) => [bed.bedId, bed.state]) : [],
      );
      const holds = openHolds(db);
      const held = holdEffect({
        holds,
        lift: asked.lift,
        bedIds: site.beds.map((bed) => bed.id),
        fromMs: nowMs,
        endMs: nextDayStartMs,
        timeOf: clock.timeOf,
      });
      const firstRunMs = nowMs + READING_MS;
      const units = display(config.units);
      const plan = planDay({
        site,
        stages: STAGES,
        siteDay,
        revision: (newestPlanOf(db, siteDay)?.plan.revision ?? 0) + 1,
        madeAtMs: nowMs,
        ...days,
        startMs: nowMs,
        firstRunMs,
        kept: keptCycles(planInForce(db, nowMs), nowMs, firstRunMs),
        hours,
        weather: { source: reading.source, asOfMs: reading.asOfMs },
        keepOffs: [...keepOffsOn(siteDay, config, clock), ...held.keepOffs],
        stores,
        statesNow: storesBroughtUp({
          site,
          stages: STAGES,
          stores,
          statesBefore,
          fromMs,
          toMs: nowMs,
          hours,
          runs,
        }),
        notes: held.notes,
        say: { timeOf: clock.timeOf, depth: units.depth },
      });
      const digest = planDigest(planDocument(plan, clock));
      const planId = addPlan(db, {
        cause: asked.cause,
        digest,
        plan,
        lifts: held.lifts,
        lastHoldId: holds.at(-1)?.holdId ?? 0,
      });
      addStep(db, {
        atMs: nowMs,
        kind: 'plan_made',
        who: asked.who || DAEMON,
        siteDay,
        revision: plan.revision,
        digest,
        what: `${asked.cause}: ${plan.runs.length} runs on ${site.beds.length} beds, held`,
      });
      const stored = planById(db, planId);
      if (stored === null) throw new Error('plan: not found right after it was added');
      return stored;
    })
    .immediate();
}
