import type { SiteDay } from '../../adapters/site-clock.ts';
import type { WeatherReading } from '../../adapters/weather/source.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import { dayFrame } from '../../calc/schedule/day-frame.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { driftOverHours } from '../../calc/schedule/drift-over-hours.ts';
import type { LaidCycle } from '../../calc/schedule/laid-cycle.ts';
import { type DayPlanInput, planDay } from '../../calc/schedule/plan-day.ts';
import type { SayMeasures } from '../../calc/schedule/reasons.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { storesBroughtUp } from '../../calc/schedule/stores-brought-up.ts';
import { keepOffsOn } from '../config/keep-offs.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planNight } from '../config/plan-night.ts';
import { completeHours } from '../planning/plan-weather.ts';
import { waterBefore } from '../planning/ran-before.ts';
import { sandModels } from '../planning/sand-models.ts';
import { morningOf } from '../time/due.ts';
import { asItRan, changes, cyclesOf, revised } from './as-it-ran.ts';
import { covering, foreseenHours, type RealWeather, type ReplayForecast } from './foreseen.ts';
import { type BedOutcome, outcomeOf } from './outcome.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** How often a day is planned anew, and how long a person takes to confirm it. */
export interface Revisions {
  everyMs: number;
  confirmMs: number;
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
  outcomes: BedOutcome[];
  /** The stretch that the outcomes speak of: this morning to the next. */
  fromMs: number;
  toMs: number;
}

/** What is replayed. */
export interface ReplayInput {
  config: LoadedConfig;
  /** The weather as it was, over all the days and some days before them. */
  actual: WeatherReading;
  days: readonly SiteDay[];
  forecast: ReplayForecast;
  /** Left out or null: the morning's plan stands all day. */
  revisions?: Revisions | null;
  /** Stores by bed id in place of those that the config's sands give. */
  stores?: ReadonlyMap<string, SeedbedStore>;
  /** State of each bed's store on the first morning; left out: at the reserve. */
  statesNow?: ReadonlyMap<string, StoreState>;
  say: SayMeasures;
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
  const stores = input.stores ?? bedStores(site.beds, STAGES, sandModels(config.dataFolder));
  let states = input.statesNow ?? new Map<string, StoreState>();
  let ran: Run[] = [];
  const done: ReplayedDay[] = [];
  for (const siteDay of days) {
    const day = replayDay({ ...input, real, stores, siteDay, states, ran });
    const { replayed } = day;
    states = day.states;
    ran = [...ran, ...replayed.plan.runs];
    done.push(replayed);
    await onDay(done.length);
  }
  return done;
}

function replayDay(
  input: ReplayInput & {
    real: RealWeather;
    stores: ReadonlyMap<string, SeedbedStore>;
    siteDay: SiteDay;
    states: ReadonlyMap<string, StoreState>;
    /** Runs of the days before. */
    ran: readonly Run[];
  },
): { replayed: ReplayedDay; states: Map<string, StoreState> } {
  const { config, real, forecast, stores, siteDay, states } = input;
  const { site, clock } = config;
  const rule = { ...config, ...site };
  const fromMs = morningOf(siteDay, rule);
  const toMs = morningOf(clock.addDays(siteDay, 1), rule);
  const bounds = {
    dayStartMs: clock.startOf(siteDay),
    nextDayStartMs: clock.startOf(clock.addDays(siteDay, 1)),
    afterNextDayStartMs: clock.startOf(clock.addDays(siteDay, 2)),
  };
  const frame = dayFrame({ site, ...bounds });
  const same = {
    site,
    stages: STAGES,
    siteDay,
    ...bounds,
    stores,
    keepOffs: keepOffsOn(siteDay, config, clock),
    notes: [],
    nightWater: planNight(config.nightWater, siteDay, clock),
    frostLimitC: config.frostLimitC,
    say: input.say,
  };
  const planAt = (
    nowMs: number,
    of: Pick<DayPlanInput, 'revision' | 'firstRunMs' | 'kept' | 'former' | 'statesNow'>,
    standing: readonly LaidCycle[],
  ) =>
    planDay({
      ...same,
      ...of,
      madeAtMs: nowMs,
      startMs: nowMs,
      hours: foreseenHours(real, forecast, {
        place: site,
        nowMs,
        fromMs: nowMs,
        toMs: Math.max(frame.horizonEndMs, nowMs + HOUR_MS),
      }),
      weather: { source: `${real.reading.source}, ${forecast.kind}`, asOfMs: nowMs },
      ranBefore: waterBefore({
        site,
        dayStartMs: bounds.dayStartMs,
        applied: [
          ...input.ran,
          ...standing.flatMap((cycle) => cycle.runs.map((run) => ({ ...run, cycle: 0 }))),
        ].filter((run) => run.startMs < nowMs),
        byHand: [],
        kept: of.kept,
      }),
    });
  const broughtUp = (untilMs: number, standing: readonly LaidCycle[]) =>
    storesBroughtUp({
      site,
      stages: STAGES,
      stores,
      statesBefore: new Map(morning.beds.map((bed) => [bed.bedId, bed.state])),
      fromMs,
      toMs: untilMs,
      hours: covering(real.hours, fromMs, untilMs + HOUR_MS),
      runs: standing.flatMap((cycle) => cycle.runs.map((run) => ({ ...run, cycle: 0 }))),
    });

  const morning = planAt(
    fromMs,
    { revision: 1, firstRunMs: fromMs, kept: [], statesNow: states },
    [],
  );
  let standing = cyclesOf(morning);
  let revisions = 0;
  const { revisions: rhythm = null } = input;
  for (
    let nowMs = fromMs + (rhythm?.everyMs ?? 0);
    rhythm !== null && nowMs < frame.window.lastEndMs;
    nowMs += rhythm.everyMs
  ) {
    const firstRunMs = nowMs + rhythm.confirmMs;
    const plan = planAt(
      nowMs,
      {
        revision: revisions + 2,
        firstRunMs,
        kept: standing
          .filter((cycle) => cycle.endMs > nowMs && cycle.startMs < firstRunMs)
          .map((cycle) => ({ ...cycle, runs: cycle.runs.map((run) => ({ ...run, cycle: 0 })) })),
        former: standing.filter((cycle) => cycle.startMs >= firstRunMs),
        statesNow: broughtUp(nowMs, standing),
      },
      standing,
    );
    if (!changes(standing, plan)) continue;
    standing = revised(standing, plan);
    revisions++;
  }
  const passed = covering(real.hours, fromMs, toMs);
  const plan = asItRan(
    morning,
    standing,
    driftOverHours(passed, { startMs: frame.sunriseMs ?? fromMs, endMs: frame.sunsetMs ?? toMs }),
  );
  return {
    replayed: {
      siteDay,
      morning,
      plan,
      revisions,
      outcomes: outcomeOf({ site, stores, plan, hours: passed, fromMs, toMs }),
      fromMs,
      toMs,
    },
    states: broughtUp(toMs, standing),
  };
}
