import type { SiteDay } from '../../adapters/site-clock.ts';
import type { BedStanding } from '../../calc/growth/stage-moves.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { dryBalance, totalMm } from '../../calc/schedule/bed-balance.ts';
import type { DryBand } from '../../calc/schedule/bed-moisture.ts';
import { dryBandMs, firstDryMs, leftMmOf } from '../../calc/schedule/bed-moisture.ts';
import { bedStores, stateUnknown } from '../../calc/schedule/bed-stores.ts';
import { bedDemand, lossCoefficient, stepGrid } from '../../calc/schedule/demand.ts';
import { fromGreatestLoss } from '../../calc/schedule/plan-day.ts';
import { driftOverHours } from '../../calc/schedule/plan-weather.ts';
import { handWaterRuns } from '../../calc/schedule/run.ts';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import { type DayFrame, dayFrame } from '../../calc/schedule/water-hours.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { foretoldSince } from '../site/store/forecast-record.ts';
import type { StoredPlan } from '../site/store/plans.ts';
import { appliedRunsSince } from './applied-water.ts';
import { type LearnedBeds, learnedBeds, seenStates, siteAsLearned } from './learned-beds.ts';
import {
  type Hypothetical,
  type PersonRecords,
  personRecords,
  siteAsCovered,
  siteInStages,
  standingsOf,
  trimmedSite,
} from './person-records.ts';
import {
  futuresOf,
  type PlanningContext,
  type PlanningWeather,
  planningWeather,
} from './planning-context.ts';
import { sandMembers } from './sand-models.ts';
import { handWaterOf, planToCarryOnFrom, storesFirstSeen, storesNow } from './stores-now.ts';

const HOUR_MS = 3_600_000;

/** The site day that is now, with the site as persons have it and the weather that is known of it. */
interface DayContext {
  siteDay: SiteDay;
  days: { dayStartMs: number; nextDayStartMs: number; afterNextDayStartMs: number };
  frame: DayFrame;
  /** What persons had put down when the day was taken up. */
  rows: PersonRecords;
  /** The same read again: for a caller that has waited since. */
  rowsNow(): PersonRecords;
  standings: BedStanding[];
  learned: LearnedBeds;
  /** With stages, what looks have taught, and trims. */
  site: Site;
  stores: ReadonlyMap<string, SeedbedStore>;
  /** The plan from which the stores are carried on, or null. */
  before: StoredPlan | null;
  read: PlanningWeather;
  /** Drift and evaporation in flight at an instant, part of the gross depth. */
  driftAt(instantMs: number): number;
  /** State of each bed's store now, by what ran, was given by hand, and was seen; reads the database. */
  statesNow(handWater: PersonRecords['handWater']): ReadonlyMap<string, StoreState>;
}

/**
 * Takes up the site day. Reads the weather, and a sand from a lab report may take seconds the first
 * time: not while the database is locked.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to reckon with.
 */
export async function dayContext(
  context: PlanningContext,
  hypothetical?: Hypothetical,
): Promise<DayContext> {
  const { db, config, weather, nowMs } = context;
  const { clock } = config;
  const siteDay = clock.siteDayOf(nowMs);
  const [dayStartMs, nextDayStartMs, afterNextDayStartMs] = [0, 1, 2].map((days) =>
    clock.startOf(clock.addDays(siteDay, days)),
  ) as [number, number, number];
  const days = { dayStartMs, nextDayStartMs, afterNextDayStartMs };
  const dayBefore = clock.addDays(siteDay, -1);
  const rowsNow = () => personRecords(db, { siteDay, dayBefore, dayStartMs }, hypothetical);
  const rows = rowsNow();
  const standings = standingsOf(config.site, rows.stageMoves);
  const inStages = siteInStages(
    config.site,
    new Map(standings.map((one) => [one.bedId, one.ruling])),
  );
  const covered = siteAsCovered(inStages, rows.looks, nowMs);
  const membersOf = sandMembers(config.dataFolder);
  const learned = learnedBeds(covered, rows.looks, { membersOf, nowMs });
  const site = trimmedSite(siteAsLearned(covered, learned), rows.trims);
  const frame = dayFrame({ site, ...days });
  const stores = bedStores(site.beds, STAGES, membersOf);
  const before = planToCarryOnFrom(db, nowMs, config.field);
  const seen = seenStates(rows.looks, learned);
  const seenToday = seen.filter(({ seenMs }) => seenMs >= dayStartMs && seenMs <= nowMs);
  const fromMs = Math.min(before?.plan.startMs ?? seenToday[0]?.seenMs ?? nowMs, nowMs);
  const read = await planningWeather(weather, site, {
    fromMs,
    toMs: Math.max(frame.horizonEndMs, nowMs + HOUR_MS),
    nowMs,
    dayStartMs,
    called: [
      { calls: rows.callsBefore, endMs: dayStartMs },
      { calls: rows.calls, endMs: nextDayStartMs },
    ],
    foretold: foretoldSince(db, dayStartMs),
  });
  const driftAt = driftOverHours(read.hours, {
    startMs: frame.sunriseMs ?? frame.window.firstStartMs,
    endMs: frame.sunsetMs ?? frame.window.lastEndMs,
  });
  return {
    siteDay,
    days,
    frame,
    rows,
    rowsNow,
    standings,
    learned,
    site,
    stores,
    before,
    read,
    driftAt,
    statesNow(handWater) {
      const ground = { site, stores, toMs: nowMs, hours: read.hours };
      if (before === null) return storesFirstSeen({ ...ground, fromMs, seen: seenToday });
      const runs = appliedRunsSince(db, { fromMs, nowMs, site, rule: config.field, driftAt });
      const given = handWaterOf(handWater, before, nowMs);
      return storesNow({
        ...ground,
        membersOf,
        before: before.plan,
        runs: [...runs, ...handWaterRuns({ given, site, driftAt })],
        seen,
      });
    },
  };
}

/** A bed as it stands now, with the loss and the rain of its day. */
export interface BedNow {
  bedId: string;
  /** Above the dry limit; at or below 0 the seedbed is dry. */
  storeMm: number;
  capacityMm: number;
  /** When it reaches the dry limit without any more water; null: not in sight. */
  dryAtMs: number | null;
  /** The same nine times in ten. */
  dryBandMs: DryBand;
  /** Whole hours of the site day, one value each. */
  hourStartMs: number[];
  lossMm: number[];
  rainMm: number[];
}

/** The site as it stands now: what ran counts, what is only planned does not. */
export interface SiteNow {
  beds: BedNow[];
  /** Reference ET of the site day, and of earlier whole days of which the weather is known. */
  referenceEtMm: number;
  earlierReferenceEtMm: number[];
  firstStartMs: number;
  lastEndMs: number;
}

/**
 * Where each bed's store stands now and when it runs dry, from the last plan brought up to date by
 * the weather and by what ran and what was seen since. Nothing is planned and nothing is remembered.
 *
 * @param hypothetical Rows that a person is thinking of.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to reckon with.
 */
export async function siteNow(
  context: PlanningContext,
  hypothetical: Hypothetical = {},
): Promise<SiteNow> {
  const { nowMs } = context;
  const hand = await dayContext(context, hypothetical);
  const { frame, site, stores, read } = hand;
  const { dayStartMs, nextDayStartMs } = hand.days;
  const known = [...read.hoursBefore, ...read.hours];
  const ahead = read.hours.filter((hour) => hour.startMs + HOUR_MS > nowMs);
  const today = known.filter(
    (hour) => hour.startMs + HOUR_MS > dayStartMs && hour.startMs < nextDayStartMs,
  );
  const weathers = fromGreatestLoss(futuresOf(read, site, context).members);
  const states = hand.statesNow(hand.rows.handWater);
  const grid = stepGrid(nowMs, Math.max(frame.horizonEndMs, nowMs + HOUR_MS));
  const beds = site.beds.flatMap((bed): BedNow[] => {
    const store = stores.get(bed.id);
    if (store === undefined) return [];
    const coefficient = lossCoefficient(STAGES[bed.stage], ahead, bed.seenCoverFraction);
    const stateNow = states.get(bed.id) ?? stateUnknown(store);
    const demand = bedDemand(bed, ahead, coefficient, grid);
    const stations = site.stations.filter((station) => station.bedId === bed.id);
    const balance = dryBalance({
      store,
      grid,
      demand,
      weathers: weathers.map((one) => bedDemand(bed, one.hours, coefficient, grid)),
      stateNow,
      stations,
      riskFraction: site.limits.riskFraction,
    });
    return [
      {
        bedId: bed.id,
        storeMm: leftMmOf(balance)[0] ?? 0,
        capacityMm: balance.capacityMm,
        dryAtMs: firstDryMs(balance, nowMs),
        dryBandMs: dryBandMs(balance, nowMs),
        ...seriesOf(bed, today, lossCoefficient(STAGES[bed.stage], today, bed.seenCoverFraction)),
      },
    ];
  });
  return {
    beds,
    referenceEtMm: sumOf(today),
    earlierReferenceEtMm: earlierDays(known, dayStartMs),
    firstStartMs: frame.window.firstStartMs,
    lastEndMs: frame.window.lastEndMs,
  };
}

/** A bed's loss and rain in each hour of the day. */
function seriesOf(
  bed: Bed,
  hours: readonly EtHour[],
  coefficient: number,
): Pick<BedNow, 'hourStartMs' | 'lossMm' | 'rainMm'> {
  const inHour = (hour: EtHour) =>
    bedDemand(bed, [hour], coefficient, stepGrid(hour.startMs, hour.startMs + HOUR_MS));
  return {
    hourStartMs: hours.map((hour) => hour.startMs),
    lossMm: hours.map((hour) => totalMm(inHour(hour).demandMm)),
    rainMm: hours.map((hour) => hour.rainMm),
  };
}

/** Reference ET of whole days before, by steps of 24 h back from the day's start; newest first. */
function earlierDays(hours: readonly EtHour[], dayStartMs: number): number[] {
  const found: number[] = [];
  for (let days = 1; ; days++) {
    const fromMs = dayStartMs - days * 24 * HOUR_MS;
    const own = hours.filter((one) => one.startMs >= fromMs && one.startMs < fromMs + 24 * HOUR_MS);
    if (own.length < 24) return found;
    found.push(sumOf(own));
  }
}

function sumOf(hours: readonly EtHour[]): number {
  return hours.reduce((sum, hour) => sum + hour.referenceEtMm, 0);
}
