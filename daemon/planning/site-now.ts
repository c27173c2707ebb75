import { STAGES } from '../../calc/growth/stages.ts';
import { dryBalance, firstAtPart, totalMm } from '../../calc/schedule/bed-balance.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import { dayFrame } from '../../calc/schedule/day-frame.ts';
import { bedDemand, stepGrid } from '../../calc/schedule/demand.ts';
import { driftOverHours } from '../../calc/schedule/drift-over-hours.ts';
import { handWaterRuns } from '../../calc/schedule/hand-water.ts';
import { lossCoefficient } from '../../calc/schedule/loss-coefficient.ts';
import type { Bed } from '../../calc/schedule/site.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { runsSince } from './applied-runs.ts';
import { carryOnFrom, handWaterOf } from './carry-on.ts';
import { learnedBeds, siteAsLearned } from './learned-beds.ts';
import { type AsIf, personRows } from './person-rows.ts';
import { planningWeather } from './plan-weather.ts';
import type { PlanningContext } from './propose-plan.ts';
import { sandModels } from './sand-models.ts';
import { seenStates } from './seen-states.ts';
import { siteInStages, standingsOf, trimmedSite } from './site-in-stages.ts';
import { storesNow } from './stores-now.ts';

const HOUR_MS = 3_600_000;

/** A bed as it stands now, with the loss and the rain of its day. */
export interface BedNow {
  bedId: string;
  /** Above the dry limit; at or below 0 the seedbed is dry. */
  storeMm: number;
  capacityMm: number;
  /** When it reaches the dry limit without any more water; null: not in sight. */
  dryAtMs: number | null;
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
 * @param asIf Rows that a person is thinking of.
 *
 * @throws NoWeather, WeatherUnreadable when there is no weather to reckon with.
 */
export async function siteNow(context: PlanningContext, asIf: AsIf = {}): Promise<SiteNow> {
  const { db, config, weather, nowMs } = context;
  const { clock } = config;
  const siteDay = clock.siteDayOf(nowMs);
  const dayBefore = clock.addDays(siteDay, -1);
  const [dayStartMs, nextDayStartMs, afterNextDayStartMs] = [0, 1, 2].map((days) =>
    clock.startOf(clock.addDays(siteDay, days)),
  ) as [number, number, number];
  const rows = personRows(db, { siteDay, dayBefore, dayStartMs }, asIf);
  const standings = standingsOf(config.site, rows.stageMoves);
  const inStages = siteInStages(
    config.site,
    new Map(standings.map((one) => [one.bedId, one.ruling])),
  );
  const learned = learnedBeds(inStages, rows.looks);
  const site = trimmedSite(siteAsLearned(inStages, learned), rows.trims);
  const frame = dayFrame({ site, dayStartMs, nextDayStartMs, afterNextDayStartMs });
  const modelOf = sandModels(config.dataFolder);
  const stores = bedStores(site.beds, STAGES, modelOf);
  const before = carryOnFrom(db, nowMs, config.field);
  const fromMs = Math.min(before?.plan.startMs ?? nowMs, nowMs);
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
  const known = [...read.hoursBefore, ...read.hours];
  const ahead = read.hours.filter((hour) => hour.startMs + HOUR_MS > nowMs);
  const today = known.filter(
    (hour) => hour.startMs + HOUR_MS > dayStartMs && hour.startMs < nextDayStartMs,
  );
  const driftAt = driftOverHours(read.hours, {
    startMs: frame.sunriseMs ?? frame.window.firstStartMs,
    endMs: frame.sunsetMs ?? frame.window.lastEndMs,
  });
  const runs = runsSince(db, { fromMs, nowMs, site, rule: config.field, driftAt });
  const states =
    before === null
      ? new Map()
      : storesNow({
          site,
          stores,
          modelOf,
          before: before.plan,
          toMs: nowMs,
          hours: read.hours,
          runs: [
            ...runs,
            ...handWaterRuns({ given: handWaterOf(rows.handWater, before, nowMs), site, driftAt }),
          ],
          seen: seenStates(rows.looks, learned),
        });
  const grid = stepGrid(nowMs, Math.max(frame.horizonEndMs, nowMs + HOUR_MS));
  const beds = site.beds.flatMap((bed): BedNow[] => {
    const store = stores.get(bed.id);
    if (store === undefined) return [];
    const coefficient = lossCoefficient(STAGES[bed.stage], ahead);
    const stateNow = states.get(bed.id) ?? store.stateAt(site.limits.reserveFraction, 0);
    const demand = bedDemand(bed, ahead, coefficient, grid);
    const balance = dryBalance({ store, grid, demand, stateNow });
    return [
      {
        bedId: bed.id,
        storeMm: balance.leftMm[0] ?? 0,
        capacityMm: balance.capacityMm,
        dryAtMs: firstAtPart(balance, 0, nowMs),
        ...seriesOf(bed, today, lossCoefficient(STAGES[bed.stage], today)),
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
