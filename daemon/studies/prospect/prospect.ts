import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { WeatherReading } from '../../../adapters/weather/source.ts';
import type { StageName } from '../../../calc/growth/stages.ts';
import { type GrowInCourse, growInCourse } from '../../../calc/growth/thermal-time.ts';
import { waterOfRuns } from '../../../calc/schedule/allowances.ts';
import { surfaceOfHourC } from '../../../calc/schedule/plan-weather.ts';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import { siteInStages } from '../../planning/person-records.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { type ReplayedDay, replay } from '../replay/replay.ts';
import { peakFlowLPerMin } from '../replay/report/figures.ts';

const DAY_MS = 24 * 3_600_000;
/** A season is planned a hundred times over: so many of the sands that a bed may have tell its water. */
const MOST_SANDS = 6;

/** A grow-in that takes longer than this was begun too late in the year. */
export const MAX_GROW_IN_DAYS = 120;

/** What a day of seeding may be expected to bring, with all beds of the site seeded on it. */
export interface Prospect {
  seededOn: SiteDay;
  course: GrowInCourse;
  /** From seeding to the middle of the first mowing's window, or as far as it was followed. */
  days: number;
  waterL: number;
  peakDayL: number;
  peakDay: SiteDay;
  /** Most cycles that a bed gets in one day. */
  peakCycles: number;
  peakFlowLPerMin: number;
  /** Minutes in daylight past the dry limit, all beds and days together. */
  dryMin: number;
  /** Beds in germination at once that the supply carries on the hardest day. */
  bedsAtOnce: number;
  /** Beds to seed a week, so that never more are in germination; null: too cold to tell. */
  bedsAWeek: number | null;
}

/** What is asked of a typical year. */
interface ProspectAsked {
  config: LoadedConfig;
  /** From three days before the seeding on. */
  reading: WeatherReading;
  seededOn: SiteDay;
  /** Told after each day, for a progress bar. */
  onDay(done: number): void | Promise<void>;
}

/**
 * Follows a grow-in through a typical year: every bed seeded on one day and moved from stage to stage
 * as warmth lets expect, watered as the plans would have it. Sends nothing, changes nothing.
 */
export async function prospectOf(asked: ProspectAsked): Promise<Prospect> {
  const { config, reading, seededOn, onDay } = asked;
  const { site } = config;
  const course = courseOf(asked);
  const endMs = course.stages.find(({ stage }) => stage === 'first_mow')?.fromMs;
  const mostDays = endMs === undefined ? MAX_GROW_IN_DAYS : daysBetween(asked, endMs);
  const days: ReplayedDay[] = [];
  for (const [stage, stageDays] of daysByStage(asked, course, mostDays)) {
    const before = days.length;
    days.push(
      ...(await replay({
        config: inStage(config, stage),
        actual: reading,
        days: stageDays,
        forecast: { kind: 'perfect' },
        mostSands: MOST_SANDS,
        revisions: null,
        onDay: (done) => onDay(before + done),
      })),
    );
  }
  const water = days.map((day) => waterOfRuns(site, day.plan.runs));
  const peakDayL = Math.max(0, ...water);
  const outcomes = days.flatMap((day) => day.outcomes);
  const sprouting = days.filter((day) => day.plan.beds[0]?.stage === 'germination');
  const hardest = most(sprouting, (day) => day.outcomes[0]?.lossMm ?? 0);
  const atOnce =
    hardest === undefined
      ? site.beds.length
      : await bedsAtOnce(inStage(config, 'germination'), reading, hardest.siteDay);
  return {
    seededOn,
    course,
    days: days.length,
    waterL: water.reduce((sum, litres) => sum + litres, 0),
    peakDayL,
    peakDay: days[water.indexOf(peakDayL)]?.siteDay ?? seededOn,
    peakCycles: Math.max(0, ...outcomes.map((one) => one.cycles)),
    peakFlowLPerMin: Math.max(0, ...days.map((day) => peakFlowLPerMin(site, day))),
    dryMin: outcomes.reduce((sum, one) => sum + one.minutesBelowDryLimit, 0),
    bedsAtOnce: atOnce,
    bedsAWeek: bedsAWeek(asked, course, atOnce),
  };
}

/** Noon of the day of seeding on, from the temperature of a wet surface. */
function courseOf({ config, reading, seededOn }: ProspectAsked): GrowInCourse {
  const { site, clock } = config;
  const { hours } = filledWeather({ hours: reading.hours, place: site });
  return growInCourse({
    sownMs: clock.startOf(seededOn) + DAY_MS / 2,
    hours: hours.map((hour) => ({
      startMs: hour.startMs,
      tempC: surfaceOfHourC({ hour, wetnessFraction: 1, elevationM: site.elevationM }),
    })),
  });
}

/** The days from seeding on, those of a stage together. */
function daysByStage(
  { config, seededOn }: ProspectAsked,
  course: GrowInCourse,
  mostDays: number,
): Map<StageName, SiteDay[]> {
  const { clock } = config;
  const byStage = new Map<StageName, SiteDay[]>();
  for (let index = 0; index < mostDays; index++) {
    const day = clock.addDays(seededOn, index);
    const noonMs = clock.startOf(day) + DAY_MS / 2;
    const stage = course.stages.findLast(({ fromMs }) => fromMs <= noonMs)?.stage ?? 'germination';
    byStage.set(stage, [...(byStage.get(stage) ?? []), day]);
  }
  return byStage;
}

function inStage(config: LoadedConfig, stage: StageName): LoadedConfig {
  const stages = new Map(config.site.beds.map((bed) => [bed.id, stage]));
  return { ...config, site: siteInStages(config.site, stages) };
}

/** A week's beds are followed by the next week's while they are still in germination. */
function bedsAWeek(asked: ProspectAsked, course: GrowInCourse, atOnce: number): number | null {
  if (course.firstGreen === null) return null;
  const beds = asked.config.site.beds.length;
  if (atOnce >= beds) return beds;
  const germinationDays = daysBetween(asked, course.firstGreen.latestMs);
  const weeksTogether = Math.max(1, Math.ceil(germinationDays / 7));
  return Math.max(1, Math.floor(atOnce / weeksTogether));
}

/** Whole days from seeding to an instant, both days counted. */
export function daysBetween(
  { config, seededOn }: Pick<ProspectAsked, 'config' | 'seededOn'>,
  atMs: number,
): number {
  return Math.max(1, Math.ceil((atMs - config.clock.startOf(seededOn)) / DAY_MS));
}

function most<T>(all: readonly T[], of: (one: T) => number): T | undefined {
  return all.reduce<T | undefined>(
    (best, one) => (best === undefined || of(one) > of(best) ? one : best),
    undefined,
  );
}

/** Two steps of the balance a bed: what placement alone costs where all fits. */
const NEGLIGIBLE_DRY_MIN = 10;

/**
 * How many of a site's beds, in the order of its config, pump and mains can carry on a day: the most
 * for which no bed is dry in daylight for longer than it would be with a supply that never binds. At
 * least one.
 */
export async function bedsAtOnce(
  config: LoadedConfig,
  reading: WeatherReading,
  day: SiteDay,
): Promise<number> {
  const carries = async (count: number) => {
    const some = withBeds(config, count);
    const [bound, ample] = await Promise.all(
      [some, withAmpleSupply(some)].map((one) => dryMinutes(one, reading, day)),
    );
    return (bound ?? []).every((min, index) => min <= (ample?.[index] ?? 0) + NEGLIGIBLE_DRY_MIN);
  };
  let most = 1;
  let least = config.site.beds.length + 1;
  if (await carries(least - 1)) return least - 1;
  while (least - most > 1) {
    const middle = Math.floor((most + least) / 2);
    if (await carries(middle)) most = middle;
    else least = middle;
  }
  return most;
}

async function dryMinutes(
  config: LoadedConfig,
  reading: WeatherReading,
  day: SiteDay,
): Promise<number[]> {
  const days = await replay({
    config,
    actual: reading,
    days: [day],
    forecast: { kind: 'perfect' },
    mostSands: MOST_SANDS,
    revisions: null,
    onDay: () => undefined,
  });
  return days.flatMap(({ outcomes }) => outcomes.map((one) => one.minutesBelowDryLimit));
}

function withBeds(config: LoadedConfig, count: number): LoadedConfig {
  const beds = config.site.beds.slice(0, count);
  const ids = new Set(beds.map((bed) => bed.id));
  const stations = config.site.stations.filter((station) => ids.has(station.bedId));
  return { ...config, site: { ...config.site, beds, stations } };
}

function withAmpleSupply(config: LoadedConfig): LoadedConfig {
  const { site } = config;
  const ample = 1e6;
  const limits = {
    ...site.limits,
    pumpFlowLPerMin: ample,
    pumpRiseLPerMin: null,
    pumpRestS: 0,
    mains: site.limits.mains.map((pipe) => ({ ...pipe, flowLPerMin: ample })),
    laterals: site.limits.laterals.map((pipe) => ({ ...pipe, flowLPerMin: ample })),
    stationsAtOnce: site.stations.length,
    startGapS: 0,
    dayAllowanceL: null,
    seasonAllowanceL: null,
  };
  return { ...config, site: { ...site, limits } };
}
