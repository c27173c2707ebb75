import {
  type AppliedWater,
  lastMomentWater,
  referenceVerdict,
  type Verdict,
} from '../../../calc/sand/reference-column.ts';
import { copyColumn } from '../../../calc/sand/richards-column.ts';
import type { SeedbedStore } from '../../../calc/sand/seedbed-store.ts';
import type { ReplayForecast } from '../../../daemon/studies/replay/known-weather.ts';
import {
  type FollowedDay,
  type ReplayedDay,
  type Revisions,
  replay,
} from '../../../daemon/studies/replay/replay.ts';
import { BED, RATE_MM_PER_H, ROTATION_MS, type SeasonCase } from './season-case.ts';

const HOUR_MS = 3_600_000;
const MIN_MS = 60_000;
const HOT_DEMAND_MM_PER_H = 0.5;

/** What one way of watering came to in one case. */
export interface Outcome {
  verdict: Verdict;
  cycles: number;
  /** What way it was, where that was searched for. */
  note: string;
}

/** The day followed within the leeway of its plan as the daemon does. */
export const FOLLOWED: FollowedDay = { everyMs: 15 * MIN_MS, leadMs: 5 * MIN_MS };

/** Planned anew every quarter of an hour, and each confirmed a quarter of an hour later. */
export const QUARTERLY: Revisions = { rule: null, everyMs: 15 * MIN_MS, confirmMs: 15 * MIN_MS };

/** Revised when the daemon's own rule says so, each confirmed a quarter of an hour later. */
export function byTheRule({ config }: SeasonCase): Revisions {
  return { rule: config.revisions, everyMs: config.revisions.everyMs, confirmMs: 15 * MIN_MS };
}

/** What the product plans with; on the first morning it takes the bed for drained overnight. */
interface Planned {
  store: SeedbedStore;
  forecast: ReplayForecast;
  revisions: Revisions | null;
  leeway?: FollowedDay | null;
}

/** The product itself: its replay, its water judged by the column. */
export async function dewbeat(
  one: SeasonCase,
  how: Omit<Planned, 'forecast'> & { forecast: 'perfect' | 'persistence' },
): Promise<Outcome> {
  const done = await replayedDays(one, { ...how, forecast: { kind: how.forecast } });
  const revised = done.reduce((sum, day) => sum + day.revisions, 0);
  return judged(one, waterOf(done), how.revisions === null ? '' : `${revised} revisions`);
}

/** The days of a case as the product's replay has them. */
export function replayedDays(
  { config, days, reading }: SeasonCase,
  { store, forecast, revisions, leeway = null }: Planned,
): Promise<ReplayedDay[]> {
  return replay({
    config,
    actual: reading,
    days,
    forecast,
    revisions,
    leeway,
    stores: new Map([[BED, store]]),
    statesNow: new Map([[BED, store.stateAt(1, HOT_DEMAND_MM_PER_H)]]),
    onDay() {},
  });
}

/** What ran in the end. */
export function waterOf(done: readonly ReplayedDay[]): AppliedWater[] {
  return done.flatMap(({ plan }) =>
    plan.beds.flatMap((bed) =>
      bed.cycles.map(({ startMs, endMs, netMm }) => ({ startMs, endMs, netMm })),
    ),
  );
}

/** Five minutes every two hours from 06:00 to 18:00 of the site's clock. */
export function commonPractice(one: SeasonCase): Outcome {
  return judged(one, commonPracticeWater(one), '');
}

/** The water of that clock. */
export function commonPracticeWater(one: SeasonCase): AppliedWater[] {
  const { clock } = one.config;
  return one.days.flatMap((day) => {
    const [year, month, dayOfMonth] = day.split('-').map(Number) as [number, number, number];
    return [6, 8, 10, 12, 14, 16, 18].map((hour) =>
      appliedWater(
        one,
        clock.instantOf({ year, month, day: dayOfMonth, hour, minute: 0 }),
        5 * MIN_MS,
      ),
    );
  });
}

/**
 * The clock that one would have set knowing all that was to come: of those that leave no dry minute
 * the one with the least water; where none does, the one that lasts longest.
 */
export function bestClock(one: SeasonCase): Outcome {
  const clocks = INTERVALS_MIN.flatMap((intervalMin) =>
    ROTATIONS.map((rotations) => ({ intervalMin, rotations })),
  )
    .map((clock) => ({ ...clock, applied: clockWater(one, clock) }))
    .filter(({ intervalMin, rotations }) => rotations * ROTATION_MS < intervalMin * MIN_MS)
    .sort((a, b) => total(a.applied) - total(b.applied) || a.applied.length - b.applied.length);
  let lastS = -1;
  let driest = clocks[0];
  for (const clock of clocks) {
    const { firstDryMs } = referenceVerdict(copyColumn(one.column), one.trial, clock.applied, true);
    const lasted = firstDryMs ?? Number.POSITIVE_INFINITY;
    if (lasted > lastS) {
      lastS = lasted;
      driest = clock;
    }
    if (firstDryMs === null) break;
  }
  if (driest === undefined) throw new Error('no clock to try');
  const minutes = (driest.rotations * ROTATION_MS) / MIN_MS;
  return judged(one, driest.applied, `${minutes} min every ${driest.intervalMin} min`);
}

const INTERVALS_MIN = [20, 30, 40, 50, 60, 75, 90, 120, 150, 180, 240, 300, 360];
const ROTATIONS = [1, 2, 3, 4, 5, 6];

/** From half an hour after sunrise to an hour before sunset. */
function clockWater(
  one: SeasonCase,
  clock: { intervalMin: number; rotations: number },
): AppliedWater[] {
  const step = clock.intervalMin * MIN_MS;
  return one.trial.daylight.slice(0, one.days.length).flatMap((light) => {
    const applied: AppliedWater[] = [];
    const lastMs = light.endMs - HOUR_MS;
    for (let atMs = light.startMs + 30 * MIN_MS; atMs <= lastMs; atMs += step) {
      applied.push(appliedWater(one, atMs, clock.rotations * ROTATION_MS));
    }
    return applied;
  });
}

/** The referee itself gives one rotation at the last moment. */
export function lastMoment(one: SeasonCase): Outcome {
  const { applied, verdict } = refereesWater(one);
  return { verdict, cycles: applied.length, note: '' };
}

/** What the referee gives, and what the column made of it. */
export function refereesWater(one: SeasonCase): ReturnType<typeof lastMomentWater> {
  return lastMomentWater(one.column, one.trial, {
    durationMs: ROTATION_MS,
    netMmAt: (startMs) => netMm(one, startMs, ROTATION_MS),
  });
}

function judged(one: SeasonCase, applied: readonly AppliedWater[], note: string): Outcome {
  const verdict = referenceVerdict(copyColumn(one.column), one.trial, applied);
  return { verdict, cycles: applied.length, note };
}

/** Heads on a bed for a while, in the wind as it is. */
export function appliedWater(one: SeasonCase, startMs: number, durationMs: number): AppliedWater {
  return { startMs, endMs: startMs + durationMs, netMm: netMm(one, startMs, durationMs) };
}

function netMm(one: SeasonCase, startMs: number, durationMs: number): number {
  return ((RATE_MM_PER_H * durationMs) / HOUR_MS) * (1 - one.driftAt(startMs));
}

function total(applied: readonly AppliedWater[]): number {
  return applied.reduce((sum, one) => sum + one.netMm, 0);
}
