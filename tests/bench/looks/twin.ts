import {
  type BedMoment,
  expectLook,
  noDrier,
  unmetAfter,
} from '../../../calc/looks/expect-look.ts';
import { type ExpectedLook, type Learned, learnBed } from '../../../calc/looks/learn-bed.ts';
import { LIGHTENING_FRACTION, type Surface } from '../../../calc/looks/seen.ts';
import { sightOf } from '../../../calc/looks/sight-of.ts';
import { runUntilDry } from '../../../calc/sand/dry-limit.ts';
import { copyColumn, runColumn, storedMm } from '../../../calc/sand/richards-column.ts';
import type { Column } from '../../../calc/sand/richards-step.ts';
import { scaledStore } from '../../../calc/sand/scaled-store.ts';
import { WET_SURFACE_FRACTION } from '../../../calc/sand/seedbed-model.ts';
import type { SeedbedStore, StoreState } from '../../../calc/sand/seedbed-store.ts';
import { fallonReferenceMm, inventedCoolDayMm } from '../seedbed-model.ts';
import type { Truth } from './truths.ts';

const STEP_H = 1 / 12;
const WET_SOIL = 1.1;
/** One cycle, given within a step. */
export const DOSE_MM = 1.5;
/** Hours of the site's day at which a person looks. */
const LOOKS_AT_H = [10.5, 13, 15.5];
const LOOKS = 10;
/** What the person's eye adds to the part that is left. */
const EYE_NOISE_FRACTION = 0.12;
const SURFACES: readonly Surface[] = ['dark', 'lightening', 'dry'];

/** What the bed is planned with: a store, another one that looks are held against, and how sure of them one is. */
export interface Belief {
  store: SeedbedStore;
  seenStore: SeedbedStore;
  beginning: { capacitySpreadLog: number; exposureSpreadLog: number };
}

export interface TwinResult {
  beforeMin: number;
  afterMin: number;
  /** The part of it by which a bed is thought to last longer than it does: the one that dries seed. */
  lateBeforeMin: number;
  lateAfterMin: number;
  learned: Learned;
  /** How often each surface was seen. */
  seen: Record<'dark' | 'lightening' | 'dry', number>;
}

/** When a bed is watered: so that looks find it near its limit, or whenever it happens. */
export type Timing = 'near_the_limit' | 'chance';

type Random = () => number;

/** A day of hourly demand on an open bed, between cool and hot. */
function dayDemand(random: Random): number[] {
  const hot = random();
  return fallonReferenceMm.map(
    (mm, hour) => WET_SOIL * (hot * mm + (1 - hot) * (inventedCoolDayMm[hour] ?? 0)),
  );
}

function normal(random: Random): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

/**
 * Ten looks at a bed whose truth is the numerical column, with noise, and what was learned of it: the
 * error of the time to dry before and after, over days that were not looked at.
 */
export function twin(
  truth: Truth,
  belief: Belief,
  given: { random: Random; flippedFraction: number; timing: Timing },
): TwinResult {
  const { random, flippedFraction } = given;
  const column = copyColumn(truth.states.drained);
  const seen = { dark: 0, lightening: 0, dry: 0 };
  const looks: ExpectedLook[] = [];
  const waterMm: number[] = [];
  const demandMmPerH: number[] = [];
  let factors = { capacityFraction: 1, exposureFraction: 1 };
  const learnt = () => learnBed(looks, { beginning: belief.beginning, managedDepthMm: 8 }).learned;
  for (let day = 0; looks.length < LOOKS; day++) {
    const demand = dayDemand(random);
    let dueStep = 7 / STEP_H;
    for (let step = 0; step < 288 && looks.length < LOOKS; step++) {
      const hour = step * STEP_H;
      const rate = demandIn(demand, step);
      const isLooked = LOOKS_AT_H.some((at) => Math.abs(at - hour) < STEP_H / 2);
      if (isLooked) {
        const look = lookAt(truth, column, { rate, random, flippedFraction });
        seen[look]++;
        const sight = sightOf(look);
        if (sight === null) throw new Error('the looks of the experiment all teach');
        const momentOf = momentsOf(belief.seenStore, { waterMm, demandMmPerH, rate });
        const expected = expectLook(momentOf, factors);
        const atMs = (day * 24 + hour) * 3_600_000;
        looks.push({ atMs, sight, managedDepthMm: 8, ...factors, ...expected });
        factors = learnt();
      }
      const isDue = step === Math.round(dueStep);
      const mm = isDue ? DOSE_MM : 0;
      const lasts = (from: number) =>
        modelHours(belief, factors, (on) => demandIn(demand, from + on)) / STEP_H;
      if (given.timing === 'chance' && isDue && hour < 17) {
        dueStep = step + Math.max(3, Math.round((0.5 + random()) * lasts(step)));
      } else if (given.timing === 'near_the_limit' && (isDue || isLooked)) {
        // The last cycle before the next look: half to one and a half times before it would be dry.
        const nextH = LOOKS_AT_H.find((at) => at > hour + STEP_H / 2);
        const lookStep = nextH === undefined ? -1 : Math.round(nextH / STEP_H);
        if (isLooked || step <= 7 / STEP_H) {
          const part = 0.5 + random();
          dueStep = lookStep < 0 ? -1 : step + 1;
          for (let from = lookStep - 1; from > step; from--) {
            if (lookStep - from < part * lasts(from)) continue;
            dueStep = from;
            break;
          }
        }
      }
      runColumn(column, {
        hours: STEP_H,
        waterMmPerH: mm / STEP_H,
        demandMmPerH: rate * truth.exposureFraction,
      });
      waterMm.push(mm);
      demandMmPerH.push(rate);
    }
  }
  const learned = learnt();
  const ahead = judgedAhead(truth, column, { belief, random, waterMm, demandMmPerH });
  const before = ahead({ capacityFraction: 1, exposureFraction: 1 });
  const after = ahead(learned);
  return {
    beforeMin: before.errorMin,
    afterMin: after.errorMin,
    lateBeforeMin: before.lateMin,
    lateAfterMin: after.lateMin,
    learned,
    seen,
  };
}

/** Cycles of the days after the looks, at each of which the time to dry is asked for. */
const JUDGED_AT_H = [7, 9.5, 12, 14.5];
const JUDGED_DAYS = 2;

/**
 * The bed goes on for two days, on a clock. After each cycle the column is run dry at the demand of
 * the hour, and so is the store with whatever factors: the mean error of its time to dry, min.
 */
function judgedAhead(
  truth: Truth,
  column: Column,
  given: { belief: Belief; random: Random; waterMm: number[]; demandMmPerH: number[] },
): (factors: Factors) => { errorMin: number; lateMin: number } {
  const { belief, random } = given;
  const waterMm = [...given.waterMm];
  const demandMmPerH = [...given.demandMmPerH];
  const runOn = (mm: number, rate: number) => {
    const demand = rate * truth.exposureFraction;
    runColumn(column, { hours: STEP_H, waterMmPerH: mm / STEP_H, demandMmPerH: demand });
    waterMm.push(mm);
    demandMmPerH.push(rate);
  };
  while (waterMm.length % 288 !== 0) runOn(0, 0.05);
  const asked: { steps: number; rate: number; hours: number }[] = [];
  for (let day = 0; day < JUDGED_DAYS; day++) {
    const demand = dayDemand(random);
    for (let step = 0; step < 288; step++) {
      const isDosed = JUDGED_AT_H.some((at) => Math.round(at / STEP_H) === step);
      runOn(isDosed ? DOSE_MM : 0, demandIn(demand, step));
      if (!isDosed) continue;
      const rate = Math.max(0.2, demandIn(demand, step));
      const spell = {
        hours: LONGEST_H,
        waterMmPerH: 0,
        demandMmPerH: rate * truth.exposureFraction,
      };
      const dry = runUntilDry(copyColumn(column), [spell], { limit: truth.states.limit });
      asked.push({ steps: waterMm.length, rate, hours: dry?.hours ?? LONGEST_H });
    }
  }
  return (factors) => {
    const errors = asked.map(({ steps, rate, hours }) => {
      const past = { waterMm: waterMm.slice(0, steps), demandMmPerH, rate };
      const { store, state } = momentsOf(belief.store, past)(factors);
      return hoursLeft(store, state, () => rate * factors.exposureFraction) - hours;
    });
    const meanMin = (of: (hours: number) => number) =>
      (60 * errors.reduce((sum, one) => sum + of(one), 0)) / errors.length;
    return { errorMin: meanMin(Math.abs), lateMin: meanMin((one) => Math.max(0, one)) };
  };
}

export type Factors = Pick<Learned, 'capacityFraction' | 'exposureFraction'>;
export interface Past {
  waterMm: readonly number[];
  demandMmPerH: readonly number[];
  rate: number;
}

function momentsOf(own: SeedbedStore, past: Past): (factors: Factors) => BedMoment {
  return ({ capacityFraction, exposureFraction }) => {
    const store = scaledStore(own, capacityFraction);
    let state = store.full;
    let unmetMm = 0;
    past.waterMm.forEach((waterMm, index) => {
      const demandMm = (past.demandMmPerH[index] ?? 0) * exposureFraction * STEP_H;
      state = store.step(state, { waterMm, demandMm, hours: STEP_H }).state;
      state = noDrier(store, state, demandMm / STEP_H);
      unmetMm = unmetAfter(unmetMm, { store, state, demandMmPerH: demandMm / STEP_H }, STEP_H);
    });
    return { store, state, demandMmPerH: past.rate * exposureFraction, unmetMm };
  };
}

/** Demand of an open bed in a step of the day, or of the next one. */
function demandIn(demand: readonly number[], step: number): number {
  return Math.max(0, demand[Math.floor(step * STEP_H + 1e-9) % 24] ?? 0);
}

function lookAt(
  truth: Truth,
  column: Column,
  given: { rate: number; random: Random; flippedFraction: number },
): 'dark' | 'lightening' | 'dry' {
  const { random } = given;
  const demandMmPerH = Math.max(0.1, given.rate * truth.exposureFraction);
  const part = partLeft(truth, column, demandMmPerH) + EYE_NOISE_FRACTION * normal(random);
  const true_ = part > LIGHTENING_FRACTION ? 'dark' : part > 0 ? 'lightening' : 'dry';
  if (random() >= given.flippedFraction) return true_;
  const others = SURFACES.filter((surface) => surface !== true_);
  return (others[Math.floor(random() * others.length)] ?? 'dark') as typeof true_;
}

/**
 * Part of the bed's store that is left at a demand; of a dry bed the part by which its evaporation or
 * its seed layer falls short, below 0.
 */
function partLeft(truth: Truth, column: Column, demandMmPerH: number): number {
  const { limit } = truth.states;
  const spell = { hours: 24, waterMmPerH: 0, demandMmPerH };
  const evaporatedMm = (from: Column) =>
    runUntilDry(copyColumn(from), [spell], { limit })?.evaporatedMm ?? 24 * demandMmPerH;
  const given = runColumn(copyColumn(column), { ...spell, hours: 0.02 }).evaporatedMm;
  const short = given / (0.02 * demandMmPerH) / WET_SURFACE_FRACTION - 1;
  const seedMm = storedMm(column, limit.seedLayerMm);
  const below = seedMm / (limit.waterFraction * limit.seedLayerMm) - 1;
  const lacks = Math.min(short, below);
  return lacks < 0 ? lacks : evaporatedMm(column) / evaporatedMm(truth.full);
}

/** Dry within so many hours, or not worth telling apart. */
export const LONGEST_H = 24;

function modelHours(
  { store: own }: Belief,
  { capacityFraction, exposureFraction }: Factors,
  demandAt: (step: number) => number,
): number {
  const store = scaledStore(own, capacityFraction);
  return hoursLeft(store, wateredState(store), (step) => demandAt(step) * exposureFraction);
}

/** Time until a store's margin is gone. */
function hoursLeft(
  store: SeedbedStore,
  from: StoreState,
  demandAt: (step: number) => number,
): number {
  let state = from;
  let before: number | null = null;
  for (let step = 0; step * STEP_H < LONGEST_H; step++) {
    const rate = demandAt(step);
    const margin = store.marginMm(state, rate);
    if (rate > 0.001 && margin <= 0) {
      const part = before === null ? 0 : before / (before - margin);
      return Math.max(0, step - 1 + part) * STEP_H;
    }
    before = margin;
    state = store.step(state, { waterMm: 0, demandMm: rate * STEP_H, hours: STEP_H }).state;
  }
  return LONGEST_H;
}

/** The state after a night and a dose, as the truth has it. */
function wateredState(store: SeedbedStore): StoreState {
  const drained = store.stateAt(1, 0.5);
  return store.step(drained, { waterMm: DOSE_MM, demandMm: 0, hours: STEP_H }).state;
}
