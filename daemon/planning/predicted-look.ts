import { STAGES } from '../../calc/growth/stages.ts';
import { bedAtLook, expectLook } from '../../calc/looks/expected-look.ts';
import { probePart } from '../../calc/looks/look-evidence.ts';
import { sandClass } from '../../calc/sand/sand-classes.ts';
import { SEED_LAYER_MM, type SeedbedStore, scaledStore } from '../../calc/sand/seedbed-store.ts';
import { bedStores, carriedState, fits, type MembersOf } from '../../calc/schedule/bed-stores.ts';
import { driftOverHours } from '../../calc/schedule/plan-weather.ts';
import { handWaterRuns } from '../../calc/schedule/run.ts';
import type { Bed } from '../../calc/schedule/site.ts';
import type { SeenOnBed, StoredExpectation } from '../site/store/looks.ts';
import { newestPlanBy, oldestPlanSince, type StoredPlan } from '../site/store/plans.ts';
import { appliedRunsSince } from './applied-water.ts';
import { learnedBeds, surfaceRules } from './learned-beds.ts';
import { personRecords, siteAsCovered, siteInStages, standingsOf } from './person-records.ts';
import { type PlanningContext, planningWeather } from './planning-context.ts';
import { sandMembers } from './sand-models.ts';
import { handWaterOf } from './stores-now.ts';

const HOUR_MS = 3_600_000;
/** A bed is followed from so long before a look, so that its dry-down shows both factors at work. */
const FOLLOWED_MS = 24 * HOUR_MS;
const OLDEST_MS = 48 * HOUR_MS;

/**
 * What the model expects of a bed at the moment of a look: from a plan about a day before it, with
 * the weather and the water since, no other look in between.
 *
 * @returns null when there is no plan to start from
 * @throws NoWeather, WeatherUnreadable when there is no weather to reckon with.
 */
export async function predictedLook(
  context: PlanningContext,
  look: Pick<SeenOnBed, 'bedId' | 'seenMs' | 'probeFraction' | 'probeDepthMm'>,
): Promise<StoredExpectation | null> {
  const { db, config, weather, nowMs } = context;
  const { clock } = config;
  const siteDay = clock.siteDayOf(look.seenMs);
  const dayStartMs = clock.startOf(siteDay);
  const rows = personRecords(db, { siteDay, dayBefore: clock.addDays(siteDay, -1), dayStartMs });
  const standings = standingsOf(config.site, rows.stageMoves);
  const inStages = siteInStages(
    config.site,
    new Map(standings.map((one) => [one.bedId, one.ruling])),
  );
  const site = siteAsCovered(inStages, rows.looks, look.seenMs);
  const bed = site.beds.find((one) => one.id === look.bedId);
  const before = planToStartFrom(context, look.seenMs);
  if (bed === undefined || before === null) return null;
  const membersOf = sandMembers(config.dataFolder);
  const unscaled = bedStores([{ ...bed, capacityFactor: 1 }], STAGES, membersOf).get(bed.id);
  if (unscaled === undefined) throw new RangeError(`stores: none for a bed (got ${bed.id})`);
  const stateBefore = stateOf(before, bed, unscaled, membersOf);
  if (stateBefore === null) return null;
  const fromMs = before.plan.startMs;
  const { hours } = await planningWeather(weather, site, {
    fromMs,
    toMs: look.seenMs + HOUR_MS,
    nowMs,
    dayStartMs,
    called: [
      { calls: rows.callsBefore, endMs: dayStartMs },
      { calls: rows.calls, endMs: clock.startOf(clock.addDays(siteDay, 1)) },
    ],
  });
  const { sunriseMs, sunsetMs, startMs, endMs } = before.plan;
  const driftAt = driftOverHours(hours, {
    startMs: sunriseMs ?? startMs,
    endMs: sunsetMs ?? endMs,
  });
  const ran = appliedRunsSince(db, {
    fromMs,
    nowMs: look.seenMs,
    site,
    rule: config.field,
    driftAt,
  });
  const given = handWaterOf(rows.handWater, before, look.seenMs);
  const runs = [...ran, ...handWaterRuns({ given, site, driftAt })].filter(
    (run) => run.bedId === bed.id,
  );
  const stations = site.stations.filter((station) => station.bedId === bed.id);
  const { learned } = learnedBeds(site, rows.looks).get(bed.id) ?? {
    learned: { capacityFraction: 1, exposureFraction: 1 },
  };
  const { capacityFraction, exposureFraction } = learned;
  const expectation = expectLook(
    (factors) =>
      bedAtLook({
        bed: asLearned(bed, factors),
        stage: STAGES[bed.stage],
        store: scaledStore(unscaled, factors.capacityFraction),
        stateBefore,
        fromMs,
        atMs: look.seenMs,
        hours,
        runs,
        stationIds: stations.map(({ id }) => id),
      }),
    { capacityFraction, exposureFraction },
  );
  const probeLeftFraction = probeLeft(bed, membersOf, look);
  return {
    ...expectation,
    byPlannedSands: true,
    capacityFraction,
    exposureFraction,
    probeLeftFraction,
  };
}

/** The plan of about a day before, or the oldest since. */
function planToStartFrom({ db }: PlanningContext, seenMs: number): StoredPlan | null {
  const dayBefore = newestPlanBy(db, seenMs - FOLLOWED_MS);
  if (dayBefore !== null && dayBefore.plan.startMs >= seenMs - OLDEST_MS) return dayBefore;
  const since = oldestPlanSince(db, seenMs - FOLLOWED_MS);
  return since !== null && since.plan.startMs <= seenMs ? since : null;
}

/** The bed's state in that plan, handed over when the bed stood in another stage then. */
function stateOf(before: StoredPlan, bed: Bed, store: SeedbedStore, membersOf: MembersOf) {
  const planned = before.plan.beds.find((one) => one.bedId === bed.id);
  if (planned === undefined) return null;
  if (planned.stage === bed.stage) {
    return fits(planned.state, store) ? planned.state : null;
  }
  const storeBefore = bedStores([{ ...bed, stage: planned.stage }], STAGES, membersOf).get(bed.id);
  return storeBefore === undefined ? null : carriedState(planned.state, storeBefore, store);
}

function asLearned(bed: Bed, factors: Pick<StoredExpectation, 'exposureFraction'>): Bed {
  return {
    ...bed,
    // A trim is a dose that the person wants, no loss that the air takes.
    trimFraction: 1,
    exposureFraction: bed.exposureFraction * factors.exposureFraction,
  };
}

/** The probe's reading as a part of the store; of a stated sand by the class that stands in for it. */
function probeLeft(
  bed: Bed,
  membersOf: MembersOf,
  look: Pick<SeenOnBed, 'probeFraction' | 'probeDepthMm'>,
): number | null {
  if (look.probeFraction === null || look.probeDepthMm === null) return null;
  const [member] = membersOf(bed.sand, SEED_LAYER_MM);
  if (member === undefined) return null;
  const { model } = member;
  return probePart({
    model,
    contentFraction: look.probeFraction,
    depthMm: look.probeDepthMm,
    residualFraction: sandClass(bed.sand.className).bed.sand.residualFraction,
    isRooted: !surfaceRules(STAGES[bed.stage].managedDepthMm),
  });
}
