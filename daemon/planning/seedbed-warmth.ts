import type { SiteClock } from '../../adapters/site-clock.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import { embeddedCoolerC } from '../../calc/growth/embedding.ts';
import { germinationWindow } from '../../calc/growth/germination-clock.ts';
import type { SeedbedHour } from '../../calc/growth/thermal-time.ts';
import type { BedGermination } from '../../calc/schedule/day-plan.ts';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import { surfaceOfHourC } from '../../calc/schedule/surface-of-hour.ts';
import { filledWeather } from '../../calc/sky/missing-weather.ts';
import { parseSiteDay } from '../time/site-clock.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Seeding longer ago than this is no longer a matter of warmth. */
const LONGEST_AGO_MS = 45 * DAY_MS;
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
    const counts = sownMs !== null && sownMs <= nowMs && nowMs - sownMs <= LONGEST_AGO_MS;
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
