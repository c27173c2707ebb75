import { display } from '../../adapters/display-units.ts';
import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import { dayFrame } from '../../calc/schedule/day-frame.ts';
import { driftOverHours } from '../../calc/schedule/drift-over-hours.ts';
import { handWaterRuns } from '../../calc/schedule/hand-water.ts';
import { planDay } from '../../calc/schedule/plan-day.ts';
import { keepOffsOn } from '../config/keep-offs.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planNight } from '../config/plan-night.ts';
import { planWater } from '../config/plan-water.ts';
import { planInForce } from '../gate/gate.ts';
import { confirmationsSince } from '../store/confirmations.ts';
import type { Db } from '../store/database.ts';
import { dayCallsOf } from '../store/day-calls.ts';
import { handWaterSince } from '../store/hand-water.ts';
import { holdsAgainst, openHolds } from '../store/holds.ts';
import { personKeepOffs } from '../store/keep-offs.ts';
import {
  addPlan,
  newestPlanOf,
  type PlanCause,
  planById,
  type StoredPlan,
} from '../store/plans.ts';
import { stageMoves } from '../store/stage-moves.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { keepOffNotes } from '../words/keep-off-lines.ts';
import { appliedRuns } from './applied-runs.ts';
import { carryOnFrom, handWaterOf } from './carry-on.ts';
import { holdEffect, type Lift } from './hold-keep-offs.ts';
import { keptCycles } from './kept-cycles.ts';
import { personNotes } from './person-notes.ts';
import { planningWeather } from './plan-weather.ts';
import { ranBefore } from './ran-before.ts';
import { sandModels } from './sand-models.ts';
import { seasonStart, seasonStartMs } from './season.ts';
import { seasonNotes, withNotes } from './season-notes.ts';
import { germinationOfBeds } from './seedbed-warmth.ts';
import { siteInStages, standingsOf } from './site-in-stages.ts';
import { personKeepOffStretches, standingAt } from './standing-keep-offs.ts';
import { storesNow } from './stores-now.ts';

/** What planning works with. */
export interface PlanningContext {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  nowMs: number;
}

/** Time to read a plan before its first new cycle. */
const READING_MS = 5 * 60_000;

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
  const { clock } = config;
  const standings = standingsOf(config.site, stageMoves(db));
  const site = siteInStages(config.site, new Map(standings.map((one) => [one.bedId, one.ruling])));
  const siteDay = clock.siteDayOf(nowMs);
  const [dayStartMs, nextDayStartMs, afterNextDayStartMs] = [0, 1, 2].map((days) =>
    clock.startOf(clock.addDays(siteDay, days)),
  ) as [number, number, number];
  const days = { dayStartMs, nextDayStartMs, afterNextDayStartMs };
  const frame = dayFrame({ site, ...days });

  // A sand from a lab report may take seconds, the first time: not while the database is locked.
  const modelOf = sandModels(config.dataFolder);
  const stores = bedStores(site.beds, STAGES, modelOf);
  const before = carryOnFrom(db, nowMs);
  const fromMs = Math.min(before?.plan.startMs ?? nowMs, nowMs);
  const calls = dayCallsOf(db, siteDay);
  const callsBefore = dayCallsOf(db, clock.addDays(siteDay, -1));
  const { hours, hoursBefore, reading } = await planningWeather(weather, site, {
    fromMs,
    toMs: Math.max(frame.horizonEndMs, nowMs + 3_600_000),
    nowMs,
    dayStartMs,
    called: [
      { calls: callsBefore, endMs: dayStartMs },
      { calls, endMs: nextDayStartMs },
    ],
  });
  const germination = await germinationOfBeds({ site, clock, weather, nowMs });
  const driftAt = driftOverHours(hours, {
    startMs: frame.sunriseMs ?? frame.window.firstStartMs,
    endMs: frame.sunsetMs ?? frame.window.lastEndMs,
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
      const byHand = before === null ? [] : handWaterOf(db, before, nowMs);
      const holds = openHolds(db);
      const putOn = standingAt(personKeepOffs(db), nowMs);
      const held = holdEffect({
        holds,
        lift: asked.lift,
        bedIds: site.beds.map((bed) => bed.id),
        fromMs: nowMs,
        endMs: nextDayStartMs,
        timeOf: clock.timeOf,
      });
      const firstRunMs = nowMs + READING_MS;
      const kept = keptCycles(planInForce(db, nowMs), nowMs, firstRunMs);
      const units = display(config.units);
      const planned = planDay({
        site,
        stages: STAGES,
        siteDay,
        revision: (newestPlanOf(db, siteDay)?.plan.revision ?? 0) + 1,
        madeAtMs: nowMs,
        ...days,
        startMs: nowMs,
        firstRunMs,
        kept,
        ranBefore: ranBefore(db, {
          site,
          dayStartMs,
          seasonStartMs: seasonStartMs(siteDay, config.seasonFrom, clock),
          nowMs,
          kept,
        }),
        hours,
        weather: { source: reading.source, asOfMs: reading.asOfMs },
        keepOffs: [
          ...keepOffsOn(siteDay, config, clock),
          ...held.keepOffs,
          ...personKeepOffStretches(putOn, {
            bedIds: site.beds.map((bed) => bed.id),
            fromMs: nowMs,
            endMs: nextDayStartMs,
          }),
        ],
        stores,
        statesNow:
          before === null
            ? new Map()
            : storesNow({
                site,
                stores,
                modelOf,
                before: before.plan,
                toMs: nowMs,
                hours,
                runs: [...runs, ...handWaterRuns({ given: byHand, site, driftAt })],
              }),
        notes: [
          ...held.notes,
          ...personNotes({
            site,
            standings,
            germination,
            call: calls.at(-1) ?? null,
            handWater: before === null ? [] : handWaterSince(db, dayStartMs),
            nowMs,
            clock,
            show: units,
          }),
        ],
        nightWater: planNight(config.nightWater, siteDay, clock),
        frostLimitC: config.frostLimitC,
        water: planWater(config.water, siteDay, clock),
        hoursBefore,
        germination,
        say: { timeOf: clock.timeOf, depth: units.depth },
      });
      const plan = withNotes(planned, [
        ...keepOffNotes(putOn, { beds: planned.beds, clock, nowMs }),
        ...seasonNotes(planned, seasonStart(siteDay, config.seasonFrom), units),
      ]);
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
