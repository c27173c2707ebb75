import type { SiteDay } from '../../adapters/site-clock.ts';
import type { WeatherReading } from '../../adapters/weather/source.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { StoreState } from '../../calc/sand/seedbed-store.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import { dayFrame } from '../../calc/schedule/day-frame.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planDay } from '../../calc/schedule/plan-day.ts';
import type { SayMeasures } from '../../calc/schedule/reasons.ts';
import { storesBroughtUp } from '../../calc/schedule/stores-brought-up.ts';
import type { EtHour, RawHour } from '../../calc/sky/weather-hour.ts';
import { keepOffsOn } from '../config/keep-offs.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planNight } from '../config/plan-night.ts';
import { completeHours } from '../planning/plan-weather.ts';
import { sandModels } from '../planning/sand-models.ts';
import { morningOf } from '../time/due.ts';
import { type BedOutcome, outcomeOf } from './outcome.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** How the morning of a replayed day foresees its weather. */
export type ReplayForecast = 'perfect' | 'persistence';

/** One replayed day: the plan as the morning would have had it, and what the day made of it. */
export interface ReplayedDay {
  siteDay: SiteDay;
  plan: DayPlan;
  outcomes: BedOutcome[];
}

/**
 * Plans each day as its morning would have, lets the real weather act on it, and carries the stores
 * on to the next morning. Touches no output and no state of the site.
 *
 * @param input.actual The weather as it was, over all the days and some days before them.
 * @param input.onDay Told after each day, for a progress bar.
 */
export async function replay(input: {
  config: LoadedConfig;
  actual: WeatherReading;
  days: readonly SiteDay[];
  forecast: ReplayForecast;
  say: SayMeasures;
  onDay(done: number): void | Promise<void>;
}): Promise<ReplayedDay[]> {
  const { config, actual, days, forecast, say, onDay } = input;
  const { site, clock } = config;
  const first = days[0];
  const last = days.at(-1);
  if (first === undefined || last === undefined) return [];
  const whole = {
    fromMs: clock.startOf(first) - 3 * DAY_MS,
    toMs: clock.startOf(clock.addDays(last, 2)),
  };
  const real = completeHours(actual, site, whole);
  const stores = bedStores(site.beds, STAGES, sandModels(config.dataFolder));
  let states = new Map<string, StoreState>();
  const done: ReplayedDay[] = [];
  for (const siteDay of days) {
    const morningMs = morningOf(siteDay, { ...config, ...site });
    const bounds = {
      dayStartMs: clock.startOf(siteDay),
      nextDayStartMs: clock.startOf(clock.addDays(siteDay, 1)),
      afterNextDayStartMs: clock.startOf(clock.addDays(siteDay, 2)),
    };
    const frame = dayFrame({ site, ...bounds });
    const foreseen = covering(
      forecast === 'perfect'
        ? real.hours
        : completeHours(knownBefore(actual, morningMs), site, whole).hours,
      morningMs,
      frame.horizonEndMs,
    );
    const plan = planDay({
      site,
      stages: STAGES,
      siteDay,
      revision: 1,
      madeAtMs: morningMs,
      ...bounds,
      startMs: morningMs,
      firstRunMs: morningMs,
      kept: [],
      hours: foreseen,
      weather: { source: `${actual.source}, ${forecast}`, asOfMs: morningMs },
      keepOffs: keepOffsOn(siteDay, config, clock),
      stores,
      statesNow: states,
      notes: [],
      nightWater: planNight(config.nightWater, siteDay, clock),
      frostLimitC: config.frostLimitC,
      say,
    });
    const nextMorningMs = morningOf(clock.addDays(siteDay, 1), { ...config, ...site });
    const passed = covering(real.hours, morningMs, nextMorningMs);
    done.push({
      siteDay,
      plan,
      outcomes: outcomeOf({
        site,
        stores,
        plan,
        hours: passed,
        fromMs: morningMs,
        toMs: nextMorningMs,
      }),
    });
    states = storesBroughtUp({
      site,
      stages: STAGES,
      stores,
      statesBefore: new Map(plan.beds.map((bed) => [bed.bedId, bed.state])),
      fromMs: morningMs,
      toMs: nextMorningMs,
      hours: passed,
      runs: plan.runs,
    });
    await onDay(done.length);
  }
  return done;
}

/** What a morning knows without any forecast: the hours before it. The rest is carried forward. */
function knownBefore(actual: WeatherReading, morningMs: number): WeatherReading {
  const hours: RawHour[] = actual.hours.filter((hour) => hour.startMs + HOUR_MS <= morningMs);
  return { ...actual, hours };
}

function covering(hours: readonly EtHour[], fromMs: number, toMs: number): EtHour[] {
  return hours.filter((hour) => hour.startMs + HOUR_MS > fromMs && hour.startMs < toMs);
}
