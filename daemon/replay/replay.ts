import type { SiteDay } from '../../adapters/site-clock.ts';
import type { WeatherReading } from '../../adapters/weather/source.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { completeHours } from '../planning/plan-weather.ts';
import { sandModels } from '../planning/sand-models.ts';
import type { ReplayForecast } from './foreseen.ts';
import { type ReplayedDay, type Revisions, replayDay } from './replay-day.ts';

const DAY_MS = 24 * 3_600_000;

/** What is replayed. */
export interface ReplayInput {
  config: LoadedConfig;
  /** The weather as it was, over all the days and some days before them. */
  actual: WeatherReading;
  days: readonly SiteDay[];
  forecast: ReplayForecast;
  /** Null: the morning's plan stands all day. */
  revisions: Revisions | null;
  /** Stores by bed id in place of those that the config's sands give. */
  stores?: ReadonlyMap<string, SeedbedStore>;
  /** State of each bed's store on the first morning; left out: at the reserve. */
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
  const stores = input.stores ?? bedStores(site.beds, STAGES, sandModels(config.dataFolder));
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
