import type { SiteClock } from '../../adapters/site-clock.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import { embeddedCoolerC, germinationWindow } from '../../calc/growth/germination-clock.ts';
import type { SeedbedHour } from '../../calc/growth/thermal-time.ts';
import type { BedGermination, DayPlan } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { surfaceOfHourC } from '../../calc/schedule/plan-weather.ts';
import type { Bed, KeepOff, Site } from '../../calc/schedule/site.ts';
import { filledWeather } from '../../calc/sky/missing-weather.ts';
import { parseSiteDay } from '../site/time/site-clock.ts';

/**
 * The beds that have no seed yet on a site day, as far as is told: their day of seeding is to come,
 * or nobody has told one, and nobody has said that they are watered all the same. A bed that stands
 * past germination has been seen to grow. Pure.
 */
export function unseededBeds(beds: readonly Bed[], siteDay: string): Bed[] {
  return beds.filter(
    ({ seededOn, stage, waterBeforeSeeding }) =>
      waterBeforeSeeding !== true &&
      stage === 'germination' &&
      (seededOn === null || seededOn > siteDay),
  );
}

/** Nothing is planned on them: not a drop before there is something that it is for. */
export function unseededKeepOffs(
  unseeded: readonly Bed[],
  span: { startMs: number; endMs: number },
): KeepOff[] {
  return unseeded.map(({ id }) => ({ bedId: id, ...span, why: '', kind: 'not_seeded' }));
}

/** What a person is told of them. */
export function unseededNotes(unseeded: readonly Bed[]): PlanWarning[] {
  return unseeded.map(({ id, seededOn }) => ({ code: 'not_seeded', bedId: id, seededOn }));
}

/** The plan without what it says of dryness where there is no seed to dry. */
export function withoutUnseeded(plan: DayPlan, unseeded: readonly Bed[]): DayPlan {
  const ids = new Set(unseeded.map(({ id }) => id));
  if (ids.size === 0) return plan;
  return {
    ...plan,
    shortages: plan.shortages.filter(({ bedId }) => !ids.has(bedId)),
    warnings: plan.warnings.filter(
      ({ code, bedId }) => code !== 'does_not_fit' || bedId === null || !ids.has(bedId),
    ),
    notices: plan.notices.filter(
      ({ bedIds }) => bedIds.length === 0 || bedIds.some((bedId) => !ids.has(bedId)),
    ),
  };
}

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Seeding longer ago than this is no longer a matter of warmth. */
const MAX_SINCE_SEEDING_MS = 45 * DAY_MS;
/** How far ahead a source is asked; beyond what it tells the last day's warmth goes on. */
const AHEAD_MS = 10 * DAY_MS;

/** Noon of the day of seeding: the config tells the day alone. */
export function sownMsOf(bed: Bed, clock: SiteClock): number | null {
  const day = bed.seededOn === null ? null : parseSiteDay(bed.seededOn);
  return day === null ? null : clock.startOf(day) + DAY_MS / 2;
}

/**
 * When the first green may be expected on each bed in germination whose day of seeding is known, by
 * bed id: from the temperature of its wet surface in the hours that the source has.
 *
 * @throws WeatherUnreadable when there is nothing to read.
 */
export async function germinationOfBeds(input: {
  site: Site;
  clock: SiteClock;
  weather: WeatherSource;
  nowMs: number;
}): Promise<Map<string, BedGermination>> {
  const { site, clock, weather, nowMs } = input;
  const sown = site.beds.flatMap((bed) => {
    const sownMs = bed.stage === 'germination' ? sownMsOf(bed, clock) : null;
    const counts = sownMs !== null && sownMs <= nowMs && nowMs - sownMs <= MAX_SINCE_SEEDING_MS;
    const coolerC = embeddedCoolerC(bed.embeddingMm);
    return counts ? [{ bedId: bed.id, sownMs, coolerC }] : [];
  });
  if (sown.length === 0) return new Map();
  const firstMs = Math.min(...sown.map((bed) => bed.sownMs));
  const dayStartMs = clock.startOf(clock.siteDayOf(nowMs));
  const fromMs = dayStartMs + Math.floor((firstMs - dayStartMs) / HOUR_MS) * HOUR_MS;
  const hours = await seedbedHours(weather, site, { fromMs, toMs: dayStartMs + AHEAD_MS, nowMs });
  return new Map(sown.flatMap((bed) => windowOf(bed, hours, nowMs)));
}

/** Hourly temperature of a bare surface that is kept wet. */
async function seedbedHours(
  weather: WeatherSource,
  site: Site,
  request: { fromMs: number; toMs: number; nowMs: number },
): Promise<SeedbedHour[]> {
  const reading = await weather.read(request);
  const { hours } = filledWeather({ hours: reading.hours, place: site });
  return hours.map((hour) => ({
    startMs: hour.startMs,
    tempC: surfaceOfHourC({ hour, wetnessFraction: 1, elevationM: site.elevationM }),
  }));
}

function windowOf(
  bed: { bedId: string; sownMs: number; coolerC: number },
  hours: readonly SeedbedHour[],
  nowMs: number,
): [string, BedGermination][] {
  const first = hours.find((hour) => hour.startMs + HOUR_MS > bed.sownMs);
  if (first === undefined) return [];
  const countedFromMs = Math.max(bed.sownMs, first.startMs);
  const cooled = hours.map((hour) => ({ ...hour, tempC: hour.tempC - bed.coolerC }));
  const window = germinationWindow({ sownMs: countedFromMs, nowMs, hours: cooled });
  const { baseTempC, sumCDays, leastCDays, mostCDays, earliest, latest, missingHours } = window;
  return [
    [
      bed.bedId,
      {
        baseTempC,
        sumCDays,
        leastCDays,
        mostCDays,
        earliestMs: earliest?.atMs ?? null,
        latestMs: latest?.atMs ?? null,
        sownMs: bed.sownMs,
        countedFromMs,
        missingHours,
      },
    ],
  ];
}
