import type { SiteDay } from '../../adapters/site-clock.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { advanceStores } from '../../calc/schedule/advance-stores.ts';
import { dayFrame } from '../../calc/schedule/day-frame.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { driftOverHours } from '../../calc/schedule/drift-over-hours.ts';
import type { LaidCycle } from '../../calc/schedule/laid-cycle.ts';
import { type DayPlanInput, planDay } from '../../calc/schedule/plan-day.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { keepOffsOn } from '../config/keep-offs.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planNight } from '../config/plan-night.ts';
import type { RevisionRule } from '../config/revisions-schema.ts';
import { type DayRevision, judgeRevision } from '../planning/judge-revision.ts';
import { waterBefore } from '../planning/ran-before.ts';
import { morningOf } from '../time/due.ts';
import { asItRan, cyclesOf, givenBy, revised, standingRuns } from './as-it-ran.ts';
import { dryLook } from './dry-look.ts';
import { covering, foreseenHours, type RealWeather, type ReplayForecast } from './foreseen.ts';
import { type BedOutcome, outcomeOf } from './outcome.ts';

const HOUR_MS = 3_600_000;

/** When a day is planned anew, and how long a person takes to confirm it. */
export interface Revisions {
  /** The daemon's rule; null: at every look. */
  rule: RevisionRule | null;
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

/** A day to be replayed, with what the days before it left. */
export interface DayToReplay {
  config: LoadedConfig;
  real: RealWeather;
  forecast: ReplayForecast;
  revisions: Revisions | null;
  stores: ReadonlyMap<string, SeedbedStore>;
  siteDay: SiteDay;
  /** State of each store that the morning believes in. */
  states: ReadonlyMap<string, StoreState>;
  /** Runs of the days before. */
  ran: readonly Run[];
}

/** One day from its morning to the next: plan, revisions, what the real weather made of them. */
export function replayDay(input: DayToReplay): {
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
  const hoursAt = (nowMs: number) =>
    foreseenHours(real, forecast, {
      place: site,
      nowMs,
      fromMs,
      toMs: Math.max(frame.horizonEndMs, nowMs + HOUR_MS),
    });
  const planAt = (
    nowMs: number,
    asked: Pick<DayPlanInput, 'revision' | 'firstRunMs' | 'kept' | 'former' | 'statesNow'>,
    ran: readonly Run[],
  ) =>
    planDay({
      site,
      stages: STAGES,
      siteDay,
      ...bounds,
      ...asked,
      madeAtMs: nowMs,
      startMs: nowMs,
      hours: hoursAt(nowMs),
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

  let standing = cyclesOf(morning);
  const plans: DayRevision[] = [{ cause: 'morning', plan: morning }];
  for (const nowMs of looks(input.revisions, fromMs, frame.window.lastEndMs)) {
    const { rule, confirmMs } = input.revisions as Revisions;
    const newest = plans.at(-1)?.plan ?? morning;
    const statesNow = statesAt(nowMs, { standing, hours: hoursAt(nowMs) });
    const look = dryLook(newest, { site, stores, statesNow, hours: hoursAt(nowMs), nowMs });
    const given = givenBy(standing, nowMs);
    const moved =
      rule === null || judgeRevision({ plans, inForce: newest, proposed: look, given, rule });
    if (moved === null) continue;
    const firstRunMs = nowMs + confirmMs;
    const plan = planAt(
      nowMs,
      {
        revision: plans.length + 1,
        firstRunMs,
        kept: standing
          .filter((cycle) => cycle.endMs > nowMs && cycle.startMs < firstRunMs)
          .map((cycle) => ({ ...cycle, runs: standingRuns([cycle]) })),
        former: standing.filter((cycle) => cycle.startMs >= firstRunMs),
        statesNow,
      },
      standingRuns(standing),
    );
    standing = revised(standing, plan);
    plans.push({ cause: 'weather', plan });
  }

  const passed = covering(real.hours, fromMs, toMs);
  const daylight = { startMs: frame.sunriseMs ?? fromMs, endMs: frame.sunsetMs ?? toMs };
  const plan = asItRan(morning, standing, driftOverHours(passed, daylight));
  return {
    replayed: {
      siteDay,
      morning,
      plan,
      revisions: plans.length - 1,
      outcomes: outcomeOf({ site, stores, plan, hours: passed, fromMs, toMs }),
      fromMs,
      toMs,
    },
    states: statesAt(toMs, { standing, hours: passed }),
  };
}

function looks(revisions: Revisions | null, fromMs: number, endMs: number): number[] {
  const found: number[] = [];
  if (revisions === null) return found;
  for (let ms = fromMs + revisions.everyMs; ms < endMs; ms += revisions.everyMs) found.push(ms);
  return found;
}
