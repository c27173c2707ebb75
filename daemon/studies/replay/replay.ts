import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { WeatherReading } from '../../../adapters/weather/source.ts';
import { fewerMembers } from '../../../calc/futures/member-spread.ts';
import { weatherFutures } from '../../../calc/futures/weather-futures.ts';
import { STAGES } from '../../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../../calc/sand/seedbed-store.ts';
import { dryBalance } from '../../../calc/schedule/bed-balance.ts';
import { firstDryMs, leftMmOf } from '../../../calc/schedule/bed-moisture.ts';
import type { LaidCycle } from '../../../calc/schedule/bed-plan.ts';
import { advanceStores, bedStores } from '../../../calc/schedule/bed-stores.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { bedDemand, lossCoefficient, stepGrid } from '../../../calc/schedule/demand.ts';
import {
  type BedUse,
  changeWithin,
  cyclesOfPlan,
  usesOf,
} from '../../../calc/schedule/leeway-change.ts';
import { type DayPlanInput, planDay } from '../../../calc/schedule/plan-day.ts';
import { driftOverHours } from '../../../calc/schedule/plan-weather.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import type { Site } from '../../../calc/schedule/site.ts';
import { supplyRule } from '../../../calc/schedule/supply-rule.ts';
import { dayFrame } from '../../../calc/schedule/water-hours.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { waterBefore } from '../../planning/applied-water.ts';
import { completeHours } from '../../planning/planning-context.ts';
import { type DayRevision, judgeRevision } from '../../planning/revise-plan.ts';
import { sandMembers } from '../../planning/sand-models.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { keepOffsOn } from '../../site/config/keep-offs.ts';
import { morningOf } from '../../site/config/morning.ts';
import type { RevisionRule } from '../../site/config/service-schema.ts';
import { planNight } from '../../site/config/water-supply.ts';
import { type ToldDrying, toldDryings } from './coverage.ts';
import {
  type ActualWeather,
  DAYS_BEFORE,
  hoursCovering,
  hoursKnownAt,
  type ReplayForecast,
} from './known-weather.ts';
import {
  asItRan,
  type BedOutcome,
  cyclesAfterRevision,
  givenBy,
  outcomeOf,
  standingRuns,
} from './outcome.ts';

const DAY_MS = 24 * 3_600_000;

/** What is replayed. */
interface ReplayInput {
  config: LoadedConfig;
  /** The weather as it was, over all the days and some days before them. */
  actual: WeatherReading;
  days: readonly SiteDay[];
  forecast: ReplayForecast;
  /** Null: the morning's plan stands all day. */
  revisions: Revisions | null;
  /** Follows the day within the leeway of the morning's plan, in place of revisions; left out: no. */
  leeway?: FollowedDay | null;
  /** Of what a bed's sand may be, so many are followed; left out: all. */
  mostSands?: number;
  /** Stores by bed id in place of those that the config's sands give. */
  stores?: ReadonlyMap<string, SeedbedStore>;
  /** State of each bed's store on the first morning; left out: unknown. */
  statesNow?: ReadonlyMap<string, StoreState>;
  /** Told after each day, for a progress bar. */
  onDay(done: number): void | Promise<void>;
}

/**
 * Plans each day as its morning would have, revises it as the hours come in, lets the real weather
 * act on it, and carries the stores on to the next morning. Touches no output and no state of the
 * site.
 */
export async function replay(input: ReplayInput): Promise<ReplayedDay[]> {
  const { config, actual, days, onDay } = input;
  const { site, clock } = config;
  const first = days[0];
  const last = days.at(-1);
  if (first === undefined || last === undefined) return [];
  const { hours } = completeHours(actual, site, {
    fromMs: clock.startOf(first) - 3 * DAY_MS,
    toMs: clock.startOf(clock.addDays(last, 2)),
  });
  const real = { reading: actual, hours };
  const membersOf = sandMembers(config.dataFolder);
  const { mostSands } = input;
  const stores =
    input.stores ??
    bedStores(site.beds, STAGES, (sand, seedLayerMm) => {
      const members = membersOf(sand, seedLayerMm);
      return mostSands === undefined ? members : fewerMembers(members, mostSands);
    });
  let states = input.statesNow ?? new Map<string, StoreState>();
  const ran: Run[] = [];
  const done: ReplayedDay[] = [];
  for (const siteDay of days) {
    const day = replayDay({ ...input, real, stores, siteDay, states, ran });
    states = day.states;
    ran.push(...day.replayed.plan.runs);
    done.push(day.replayed);
    await onDay(done.length);
  }
  return done;
}

const HOUR_MS = 3_600_000;

/** When a day is planned anew, and how long a person takes to confirm it. */
export interface Revisions {
  /** The daemon's rule; null: at every look. */
  rule: RevisionRule | null;
  everyMs: number;
  confirmMs: number;
}

/** How a day is followed within the leeway of its plan. */
export interface FollowedDay {
  everyMs: number;
  /** From a look to the first run that it may change. */
  leadMs: number;
}

/** One replayed day. */
export interface ReplayedDay {
  siteDay: SiteDay;
  /** As the morning had it. */
  morning: DayPlan;
  /** The same with the cycles that ran in the end. */
  plan: DayPlan;
  /** Revisions that a person confirmed. */
  revisions: number;
  /** What was done within the leeway, at the day's end; left out where nothing was. */
  uses?: readonly BedUse[];
  outcomes: BedOutcome[];
  /** The morning's bands against what came; empty where the morning knew the weather. */
  dryings: ToldDrying[];
  /** The stretch that the outcomes speak of: this morning to the next. */
  fromMs: number;
  toMs: number;
}

/** A day to be replayed, with what the days before it left. */
interface DayToReplay {
  config: LoadedConfig;
  real: ActualWeather;
  forecast: ReplayForecast;
  revisions: Revisions | null;
  leeway?: FollowedDay | null;
  stores: ReadonlyMap<string, SeedbedStore>;
  siteDay: SiteDay;
  /** State of each store that the morning believes in. */
  states: ReadonlyMap<string, StoreState>;
  /** Runs of the days before. */
  ran: readonly Run[];
}

/** One day from its morning to the next: plan, revisions, what the real weather made of them. */
function replayDay(input: DayToReplay): {
  replayed: ReplayedDay;
  states: Map<string, StoreState>;
} {
  const { config, real, forecast, stores, siteDay } = input;
  const { site, clock } = config;
  const fromMs = morningOf(siteDay, { ...config, ...site });
  const toMs = morningOf(clock.addDays(siteDay, 1), { ...config, ...site });
  const bounds = {
    dayStartMs: clock.startOf(siteDay),
    nextDayStartMs: clock.startOf(clock.addDays(siteDay, 1)),
    afterNextDayStartMs: clock.startOf(clock.addDays(siteDay, 2)),
  };
  const frame = dayFrame({ site, ...bounds });
  // From the morning on, as the daemon reads them: a stage with cover takes its coefficient from all.
  // What is known grows as an hour of the weather ends: looks between two ends share it.
  const hoursKnown = new Map<number, ReturnType<typeof hoursKnownAt>>();
  const firstMs = real.hours[0]?.startMs ?? fromMs;
  const hoursAt = (nowMs: number) => {
    const endedMs = firstMs + Math.floor((nowMs - firstMs) / HOUR_MS) * HOUR_MS;
    const toMs = Math.max(frame.horizonEndMs, endedMs + 2 * HOUR_MS);
    const known =
      hoursKnown.get(endedMs) ??
      hoursKnownAt(real, forecast, { place: site, nowMs: endedMs, fromMs, toMs });
    hoursKnown.set(endedMs, known);
    return known;
  };
  const planAt = (
    nowMs: number,
    asked: Pick<DayPlanInput, 'revision' | 'firstRunMs' | 'kept' | 'former' | 'statesNow'>,
    ran: readonly Run[],
  ) => {
    const { hours, isMoved } = hoursAt(nowMs);
    const before = (untilMs: number) =>
      real.hours.filter(
        (hour) =>
          hour.startMs + HOUR_MS <= untilMs && hour.startMs >= untilMs - DAYS_BEFORE * DAY_MS,
      );
    return planDay({
      site,
      stages: STAGES,
      siteDay,
      ...bounds,
      ...asked,
      madeAtMs: nowMs,
      startMs: nowMs,
      hours,
      ...(forecast.kind === 'perfect'
        ? {}
        : {
            weathers: weatherFutures({
              hours,
              place: site,
              asOfMs: nowMs,
              earlierDays: before(nowMs),
              isMoved,
            }).members,
          }),
      weather: { source: `${real.reading.source}, ${forecast.kind}`, asOfMs: nowMs },
      keepOffs: keepOffsOn(siteDay, config, clock),
      stores,
      ranBefore: waterBefore({
        site,
        dayStartMs: bounds.dayStartMs,
        applied: [...input.ran, ...ran].filter((run) => run.startMs < nowMs),
        byHand: [],
        kept: asked.kept,
      }),
      notes: [],
      nightWater: planNight(config.nightWater, siteDay, clock),
      frostLimitC: config.frostLimitC,
      // What would help and the answers to the wind are told nowhere in a replay.
      isSketch: true,
    });
  };
  const morning = planAt(
    fromMs,
    { revision: 1, firstRunMs: fromMs, kept: [], statesNow: input.states },
    [],
  );
  const statesAt = (
    untilMs: number,
    { standing, hours }: { standing: readonly LaidCycle[]; hours: readonly EtHour[] },
  ) =>
    advanceStores({
      site,
      stages: STAGES,
      stores,
      statesBefore: new Map(morning.beds.map((bed) => [bed.bedId, bed.state])),
      fromMs,
      toMs: untilMs,
      hours,
      runs: standingRuns(standing),
    });

  const confirmed = cyclesOfPlan(morning);
  let standing: readonly LaidCycle[] = confirmed;
  const planFrom = (
    nowMs: number,
    { revision, firstRunMs }: Pick<DayPlan, 'revision' | 'firstRunMs'>,
    stands: readonly LaidCycle[],
  ) =>
    planAt(
      nowMs,
      {
        revision,
        firstRunMs,
        kept: stands
          .filter((cycle) => cycle.endMs > nowMs && cycle.startMs < firstRunMs)
          .map((cycle) => ({ ...cycle, runs: standingRuns([cycle]) })),
        former: stands.filter((cycle) => cycle.startMs >= firstRunMs),
        statesNow: statesAt(nowMs, { standing: stands, hours: hoursAt(nowMs).hours }),
      },
      standingRuns(stands),
    );
  const plans: DayRevision[] = [{ cause: 'morning', plan: morning }];
  for (const nowMs of looks(input.revisions, fromMs, frame.window.lastEndMs)) {
    const { rule, confirmMs } = input.revisions as Revisions;
    const newest = plans.at(-1)?.plan ?? morning;
    const { hours } = hoursAt(nowMs);
    const statesNow = statesAt(nowMs, { standing, hours });
    const look = withDryTimesNow(newest, { site, stores, statesNow, hours, nowMs });
    const given = givenBy(standing, nowMs);
    const moved =
      rule === null || judgeRevision({ plans, inForce: newest, proposed: look, given, rule });
    if (moved === null) continue;
    const asked = { revision: plans.length + 1, firstRunMs: nowMs + confirmMs };
    const plan = planFrom(nowMs, asked, standing);
    standing = cyclesAfterRevision(standing, plan);
    plans.push({ cause: 'weather', plan });
  }
  let followed = confirmed;
  const { leeway = null } = input;
  for (const nowMs of looks(leeway, fromMs, frame.window.lastEndMs)) {
    if (morning.leeway === undefined) break;
    const firstRunMs = nowMs + (leeway?.leadMs ?? 0);
    const { change } = changeWithin({
      confirmed,
      standing: followed,
      proposed: cyclesOfPlan(planFrom(nowMs, { revision: 2, firstRunMs }, followed)),
      leeway: morning.leeway,
      fromMs: firstRunMs,
      mayAdd: () => true,
      supply: supplyRule(site),
    });
    followed = change?.cycles ?? followed;
    standing = followed;
  }

  const passed = hoursCovering(real.hours, fromMs, toMs);
  const daylight = { startMs: frame.sunriseMs ?? fromMs, endMs: frame.sunsetMs ?? toMs };
  const plan = asItRan(morning, standing, driftOverHours(passed, daylight));
  return {
    replayed: {
      siteDay,
      morning,
      plan,
      revisions: plans.length - 1,
      ...(leeway === null ? {} : { uses: usesOf(confirmed, followed) }),
      outcomes: outcomeOf({ site, stores, plan, hours: passed, fromMs, toMs }),
      dryings:
        forecast.kind === 'perfect'
          ? []
          : toldDryings({
              site,
              stores,
              morning,
              hours: hoursCovering(real.hours, fromMs, frame.horizonEndMs),
              toMs: frame.horizonEndMs,
            }),
      fromMs,
      toMs,
    },
    states: statesAt(toMs, { standing, hours: passed }),
  };
}

function looks(every: { everyMs: number } | null, fromMs: number, endMs: number): number[] {
  const found: number[] = [];
  if (every === null) return found;
  for (let ms = fromMs + every.everyMs; ms < endMs; ms += every.everyMs) found.push(ms);
  return found;
}

/**
 * The newest plan with the times at which the beds dry as they look now: all that the rule of
 * revisions asks of a proposal, for a small part of the work of planning one.
 */
export function withDryTimesNow(
  newest: DayPlan,
  now: {
    site: Site;
    stores: ReadonlyMap<string, SeedbedStore>;
    statesNow: ReadonlyMap<string, StoreState>;
    /** From `nowMs` on, without a gap. */
    hours: readonly EtHour[];
    nowMs: number;
  },
): DayPlan {
  const { site, stores, statesNow, hours, nowMs } = now;
  const last = hours.at(-1)?.startMs ?? nowMs;
  const grid = stepGrid(nowMs, last + 3_600_000);
  const beds = newest.beds.map((planned) => {
    const bed = site.beds.find((one) => one.id === planned.bedId);
    const store = stores.get(planned.bedId);
    const stateNow = statesNow.get(planned.bedId);
    if (bed === undefined || store === undefined || stateNow === undefined) return planned;
    const demand = bedDemand(bed, hours, lossCoefficient(STAGES[bed.stage], hours), grid);
    const stations = site.stations.filter((station) => station.bedId === bed.id);
    const balance = dryBalance({ store, grid, demand, stateNow, stations });
    return {
      ...planned,
      dryAtMs: firstDryMs(balance, nowMs),
      storeNowMm: leftMmOf(balance)[0] ?? 0,
    };
  });
  return { ...newest, madeAtMs: nowMs, startMs: nowMs, beds };
}
