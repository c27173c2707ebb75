import { memberSpread } from '../../../calc/futures/member-spread.ts';
import { lossOfMember, membersOf } from '../../../calc/futures/sand-members.ts';
import { weightedQuantiles } from '../../../calc/futures/weighted-quantile.ts';
import { STAGES } from '../../../calc/growth/stages.ts';
import { runUntilDry } from '../../../calc/sand/bed-column.ts';
import { SEED_LAYER_MM, type StoreState } from '../../../calc/sand/seedbed-store.ts';
import { bedStores } from '../../../calc/schedule/bed-stores.ts';
import { bedDemand, lossCoefficient, STEP_MIN, stepGrid } from '../../../calc/schedule/demand.ts';
import type { BedSand } from '../../../calc/schedule/site.ts';
import { completeHours } from '../../../daemon/planning/planning-context.ts';
import { sandModels } from '../../../daemon/planning/sand-models.ts';
import { morningOf } from '../../../daemon/site/config/morning.ts';
import type { SeasonCase } from '../season/season-case.ts';
import { wateredColumn } from './eye.ts';
import { clockTimes, lifeOf, type Person } from './lived-days.ts';

const HOUR_MS = 3_600_000;
const STEP_H = STEP_MIN / 60;
/** A bed that is full at noon and lasts beyond the afternoon counts as lasting so long. */
const MOST_H = 7;
const LOOKS = 6;
const LOOKS_A_DAY = 3;
/** The day at whose noon the bed is thought full. */
const JUDGED_DAY = 2;

/** How far the told time to dry is from the column's, in minutes, before and after the looks. */
export interface TaughtTime {
  beforeMin: number;
  afterMin: number;
  looks: number;
}

/** When a person looks: at fixed times, or where a look is worth most by the plan of the moment. */
export type LookTimes = 'clock' | 'worth';

/**
 * What six looks, three a day, do to the time to dry of a bed that is full at noon: the middle of what
 * its sand may be, before and after, against the column.
 */
export async function taughtTime(
  one: SeasonCase,
  given: { sand: BedSand; person: Person; modelsFolder: string; times: LookTimes },
): Promise<TaughtTime> {
  const life = lifeOf(one, { ...given, isSketch: given.times === 'clock' });
  const { clock, site } = one.config;
  let looks = 0;
  try {
    for (const day of one.days) {
      if (looks === LOOKS) break;
      life.runTo(morningOf(day, { ...one.config, ...site }));
      let plan = await life.plan();
      const nextDayMs = clock.startOf(clock.addDays(day, 1));
      for (const fixedMs of clockTimes(one, day).slice(0, LOOKS_A_DAY)) {
        const atMs = given.times === 'clock' ? fixedMs : plan.worthLooking?.[0]?.atMs;
        if (looks === LOOKS || atMs === undefined || atMs >= nextDayMs) break;
        life.runTo(Math.max(life.nowMs(), atMs));
        await life.look();
        looks++;
        plan = await life.plan();
      }
    }
    const hoursOf = toldHours(one, given);
    const truthH = columnHours(one);
    const errorMin = (hours: number) => 60 * Math.abs(hours - truthH);
    return {
      beforeMin: errorMin(hoursOf(null)),
      afterMin: errorMin(hoursOf(life.taught().weights)),
      looks,
    };
  } finally {
    life.close();
  }
}

function noonOf({ config, days }: SeasonCase): number {
  const day = days[JUDGED_DAY];
  if (day === undefined) throw new Error('the case is too short to be judged');
  return config.clock.startOf(day) + 12 * HOUR_MS;
}

function columnHours(one: SeasonCase): number {
  const noonMs = noonOf(one);
  const spells = one.trial.hours
    .filter(({ startMs }) => startMs >= noonMs && startMs < noonMs + MOST_H * HOUR_MS)
    .map(({ demandMmPerH }) => ({ hours: 1, waterMmPerH: 0, demandMmPerH }));
  const dry = runUntilDry(wateredColumn(one.column), spells, { limit: one.trial.limit });
  return Math.min(MOST_H, dry?.hours ?? MOST_H);
}

/** The weighted middle of how long each sand that the bed may have lasts, by its weights. */
function toldHours(
  one: SeasonCase,
  { sand, modelsFolder }: { sand: BedSand; modelsFolder: string },
): (weights: readonly number[] | null) => number {
  const noonMs = noonOf(one);
  const [first] = one.config.site.beds;
  if (first === undefined) throw new Error('the case has lost its bed');
  const bed = { ...first, sand, stage: 'germination' as const };
  const models = sandModels(modelsFolder)(sand, SEED_LAYER_MM);
  const store = bedStores([bed], STAGES, () => memberSpread(models)).get(bed.id);
  const members = store === undefined ? [] : membersOf(store);
  const span = { fromMs: noonMs - 24 * HOUR_MS, toMs: noonMs + 24 * HOUR_MS };
  const { hours } = completeHours(one.reading, one.config.site, span);
  const grid = stepGrid(noonMs, noonMs + MOST_H * HOUR_MS);
  const asked = bedDemand(bed, hours, lossCoefficient(STAGES.germination, hours), grid);
  const lasts = members.map((member) => {
    let state: StoreState = member.store.full;
    for (let step = 0; step < grid.steps; step++) {
      const nightMm = asked.nightExtraMm?.[step] ?? 0;
      const demandMm = lossOfMember(member, asked.demandMm[step] ?? 0, nightMm);
      if (member.store.marginMm(state, Math.max(0, demandMm) / STEP_H) <= 0) return step * STEP_H;
      state = member.store.step(state, { waterMm: 0, demandMm, hours: STEP_H }).state;
    }
    return MOST_H;
  });
  return (weights) => {
    const out = new Float64Array(1);
    const of = weights ?? members.map(({ weightFraction }) => weightFraction);
    weightedQuantiles(Float64Array.from(lasts), Float64Array.from(of), [0.5], out);
    return out[0] ?? Number.NaN;
  };
}
