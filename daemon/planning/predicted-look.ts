import { at } from '../../calc/checked-entry.ts';
import type { ModelMember } from '../../calc/futures/member-spread.ts';
import { weightedQuantiles } from '../../calc/futures/weighted-quantile.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import { leftByMembers } from '../../calc/looks/expected-look.ts';
import { probePart } from '../../calc/looks/look-evidence.ts';
import { sandClass } from '../../calc/sand/sand-classes.ts';
import { SEED_LAYER_MM, type SeedbedStore } from '../../calc/sand/seedbed-store.ts';
import { bedStores, carriedState, fits, type MembersOf } from '../../calc/schedule/bed-stores.ts';
import { driftOverHours } from '../../calc/schedule/plan-weather.ts';
import { handWaterRuns } from '../../calc/schedule/run.ts';
import type { Bed } from '../../calc/schedule/site.ts';
import type { SeenOnBed, StoredExpectation } from '../site/store/looks.ts';
import { newestPlanBy, oldestPlanSince, type StoredPlan } from '../site/store/plans.ts';
import { appliedRunsSince } from './applied-water.ts';
import { learnedBeds, surfaceRules } from './learned-beds.ts';
import { libraryDigest } from './library-digest.ts';
import { personRecords, siteAsCovered, siteInStages, standingsOf } from './person-records.ts';
import { type PlanningContext, planningWeather } from './planning-context.ts';
import { sandMembers } from './sand-models.ts';
import { handWaterOf } from './stores-now.ts';

const HOUR_MS = 3_600_000;
/** A bed is followed from so long before a look, so that its dry-down shows the store and the loss. */
const FOLLOWED_MS = 24 * HOUR_MS;
const OLDEST_MS = 48 * HOUR_MS;

/**
 * What each sand that a bed may have expects of it at the moment of a look: from a plan about a day
 * before it, with the weather and the water since, no other look in between.
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
  const store = bedStores([bed], STAGES, membersOf).get(bed.id);
  if (store === undefined) throw new RangeError(`stores: none for a bed (got ${bed.id})`);
  const stateBefore = stateOf(before, bed, store, membersOf);
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
  const leftFractions = leftByMembers({
    // A trim is a dose that the person wants, no loss that the air takes.
    bed: { ...bed, trimFraction: 1 },
    stage: STAGES[bed.stage],
    store,
    stateBefore,
    fromMs,
    atMs: look.seenMs,
    hours,
    runs,
    stationIds: stations.map(({ id }) => id),
  });
  const library = membersOf(bed.sand, SEED_LAYER_MM + bed.embeddingMm);
  const readFractions = readByMembers(bed, library, look);
  const isStated = bed.sand.stated !== null;
  const { weights } = learnedBeds(site, rows.looks, { membersOf, nowMs }).byBed.get(bed.id) ?? {};
  const middle = (parts: readonly number[]) => {
    const of = isStated ? undefined : (weights ?? library.map((one) => one.weightFraction));
    const chances = Float64Array.from(parts, (_, index) => of?.[index] ?? 1);
    const out = new Float64Array(1);
    weightedQuantiles(Float64Array.from(parts), chances, [0.5], out);
    return rounded(at(out, 0));
  };
  return {
    leftFraction: middle(leftFractions),
    probeLeftFraction: readFractions === null ? null : middle(readFractions),
    byMembers: isStated
      ? null
      : {
          libraryDigest: libraryDigest(library),
          leftFractions: leftFractions.map(rounded),
          readFractions: readFractions?.map(rounded) ?? null,
        },
  };
}

/** What is kept of a part: no eye tells more. */
function rounded(part: number): number {
  return Math.round(part * 1e4) / 1e4;
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

/**
 * The probe's reading as a part of the store in each member's sand; of a stated sand by those of the
 * class that stands in for it. Null without a reading within the sand.
 */
function readByMembers(
  bed: Bed,
  library: readonly ModelMember[],
  look: Pick<SeenOnBed, 'probeFraction' | 'probeDepthMm'>,
): number[] | null {
  const { probeFraction, probeDepthMm } = look;
  if (probeFraction === null || probeDepthMm === null) return null;
  const parts = library.flatMap(({ model }) => {
    const part = probePart({
      model,
      contentFraction: probeFraction,
      depthMm: probeDepthMm,
      residualFraction: sandClass(bed.sand.className).bed.sand.residualFraction,
      isRooted: !surfaceRules(STAGES[bed.stage].managedDepthMm),
    });
    return part === null ? [] : [part];
  });
  return parts.length === library.length ? parts : null;
}
