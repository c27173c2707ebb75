import { STAGES } from '../../calc/growth/stages.ts';
import { dryBalance, firstAtPart, totalMm } from '../../calc/schedule/bed-balance.ts';
import { bedDemand, stepGrid } from '../../calc/schedule/demand.ts';
import { lossCoefficient } from '../../calc/schedule/loss-coefficient.ts';
import type { Bed } from '../../calc/schedule/site.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { dayContext } from './day-context.ts';
import type { Hypothetical } from './person-rows.ts';
import type { PlanningContext } from './planning-context.ts';

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
  const states = hand.statesNow(hand.rows.handWater);
  const grid = stepGrid(nowMs, Math.max(frame.horizonEndMs, nowMs + HOUR_MS));
  const beds = site.beds.flatMap((bed): BedNow[] => {
    const store = stores.get(bed.id);
    if (store === undefined) return [];
    const coefficient = lossCoefficient(STAGES[bed.stage], ahead, bed.seenCoverFraction);
    const stateNow = states.get(bed.id) ?? store.stateAt(site.limits.reserveFraction, 0);
    const demand = bedDemand(bed, ahead, coefficient, grid);
    const stations = site.stations.filter((station) => station.bedId === bed.id);
    const balance = dryBalance({ store, grid, demand, stateNow, stations });
    return [
      {
        bedId: bed.id,
        storeMm: balance.leftMm[0] ?? 0,
        capacityMm: balance.capacityMm,
        dryAtMs: firstAtPart(balance, 0, nowMs),
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
