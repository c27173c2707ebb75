import type { SiteDay } from '../../adapters/site-clock.ts';
import type { BedStanding } from '../../calc/growth/bed-standing.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import { type DayFrame, dayFrame } from '../../calc/schedule/day-frame.ts';
import { driftOverHours } from '../../calc/schedule/drift-over-hours.ts';
import { handWaterRuns } from '../../calc/schedule/hand-water.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { StoredPlan } from '../store/plans.ts';
import { runsSince } from './applied-runs.ts';
import { carryOnFrom, handWaterOf } from './carry-on.ts';
import { type LearnedBed, learnedBeds, siteAsLearned } from './learned-beds.ts';
import { type Hypothetical, type PersonRows, personRows } from './person-rows.ts';
import { type PlanningWeather, planningWeather } from './plan-weather.ts';
import type { PlanningContext } from './planning-context.ts';
import { sandModels } from './sand-models.ts';
import { siteAsCovered } from './seen-signs.ts';
import { seenStates } from './seen-states.ts';
import { siteInStages, standingsOf, trimmedSite } from './site-in-stages.ts';
import { storesFirstSeen, storesNow } from './stores-now.ts';

const HOUR_MS = 3_600_000;

/** The site day that is now, with the site as persons have it and the weather that is known of it. */
export interface DayContext {
  siteDay: SiteDay;
  days: { dayStartMs: number; nextDayStartMs: number; afterNextDayStartMs: number };
  frame: DayFrame;
  /** What persons had put down when the day was taken up. */
  rows: PersonRows;
  /** The same read again: for a caller that has waited since. */
  rowsNow(): PersonRows;
  standings: BedStanding[];
  learned: ReadonlyMap<string, LearnedBed>;
  /** With stages, what looks have taught, and trims. */
  site: Site;
  stores: ReadonlyMap<string, SeedbedStore>;
  /** The plan from which the stores are carried on, or null. */
  before: StoredPlan | null;
  read: PlanningWeather;
  /** Drift and evaporation in flight at an instant, part of the gross depth. */
  driftAt(instantMs: number): number;
  /** State of each bed's store now, by what ran, was given by hand, and was seen; reads the database. */
  statesNow(handWater: PersonRows['handWater']): ReadonlyMap<string, StoreState>;
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
  const rowsNow = () => personRows(db, { siteDay, dayBefore, dayStartMs }, hypothetical);
  const rows = rowsNow();
  const standings = standingsOf(config.site, rows.stageMoves);
  const inStages = siteInStages(
    config.site,
    new Map(standings.map((one) => [one.bedId, one.ruling])),
  );
  const covered = siteAsCovered(inStages, rows.looks, nowMs);
  const learned = learnedBeds(covered, rows.looks);
  const site = trimmedSite(siteAsLearned(covered, learned), rows.trims);
  const frame = dayFrame({ site, ...days });
  const modelsOf = sandModels(config.dataFolder);
  const stores = bedStores(site.beds, STAGES, modelsOf);
  const before = carryOnFrom(db, nowMs, config.field);
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
      const runs = runsSince(db, { fromMs, nowMs, site, rule: config.field, driftAt });
      const given = handWaterOf(handWater, before, nowMs);
      return storesNow({
        ...ground,
        modelsOf,
        before: before.plan,
        runs: [...runs, ...handWaterRuns({ given, site, driftAt })],
        seen,
      });
    },
  };
}
