import { createHash } from 'node:crypto';
import { type BedProfile, dryDownTable, KEPT_FRACTION } from '../../calc/sand/bed-column.ts';
import type { VanGenuchten } from '../../calc/sand/hydraulic-properties.ts';
import { modelStore } from '../../calc/sand/model-store.ts';
import { drawnOfClass } from '../../calc/sand/possible-sands.ts';
import { wettedCurve } from '../../calc/sand/retention-curves.ts';
import type { SandClass } from '../../calc/sand/sand-classes.ts';
import { DERIVATION } from '../../calc/sand/seedbed-fit.ts';
import { type SeedbedModel, WET_SURFACE_FRACTION } from '../../calc/sand/seedbed-model.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { seeded } from '../seeded.ts';

/** Sands drawn for each class, and how many of them are kept at most: each is followed in every plan. */
const CANDIDATES = 24;
export const MOST_KEPT = 3;
/** Closer to the soonest of all candidates in every trial (a difference of logs) none has to come. */
const CLOSE_ENOUGH_LOG = 0.03;
const SEED = 20_261;

/** A sand of a class with its planning model. */
export interface Member {
  sand: VanGenuchten;
  model: SeedbedModel;
}

/**
 * The sands from which a class's members are chosen. What rises over gravel is counted no higher than
 * on the wetted end of the range, so all of them stand there.
 */
export function candidateSands(sandClass: SandClass): VanGenuchten[] {
  const unit = seeded(SEED);
  const [, greatest] = sandClass.wettingCoefficient;
  return Array.from({ length: CANDIDATES }, () =>
    wettedCurve(drawnOfClass(sandClass, unit).reported, greatest),
  );
}

/** A small, a middling and a great demand. */
const DEMANDS_MM_PER_H = [0.12, 0.35, 0.8];
/** Of how many candidates a model is worked out at each demand: those that the column dries first. */
const SHORTLISTED = 3;

/** The candidates that are among the soonest dry in the numerical column, by their order. */
export function shortlist(sands: readonly VanGenuchten[], bed: BedProfile): VanGenuchten[] {
  const capacities = sands.map((sand) =>
    dryDownTable({ ...bed, sand }, { ratesMmPerH: DEMANDS_MM_PER_H, longestH: 48 }).map(
      ({ capacityMm }) => capacityMm ?? Number.POSITIVE_INFINITY,
    ),
  );
  const isListed = (index: number) =>
    DEMANDS_MM_PER_H.some((_, rate) => {
      const own = capacities[index]?.[rate] ?? Number.POSITIVE_INFINITY;
      // Where gravel feeds a slow loss for ever, nothing is told apart.
      if (own === Number.POSITIVE_INFINITY) return false;
      return capacities.filter((other) => (other[rate] ?? 0) < own).length < SHORTLISTED;
    });
  return sands.filter((_, index) => isListed(index));
}

/** What every model follows from besides its bed. */
export function derivationOf(): Record<string, number> {
  return { DERIVATION, WET_SURFACE_FRACTION, KEPT_FRACTION };
}

/** Digest of all that a class's models and members follow from: what changes it makes them stale. */
export function inputsDigest(sandClass: SandClass): string {
  const inputs = {
    bed: sandClass.bed,
    candidates: candidateSands(sandClass),
    MOST_KEPT,
    SHORTLISTED,
    CLOSE_ENOUGH_LOG,
    ...derivationOf(),
  };
  return createHash('sha256').update(JSON.stringify(inputs)).digest('hex').slice(0, 16);
}

/**
 * The few candidates that together come closest to being as soon dry as the soonest of all, whatever
 * the bed was given before: the plan takes a bed for the worst of them.
 */
export function chosenMembers<One extends Member>(
  candidates: readonly One[],
  most = MOST_KEPT,
): One[] {
  const times = candidates.map(({ model }) => dryTimes(modelStore(model)));
  const soonest = (of: readonly number[], trial: number) =>
    Math.min(...of.map((index) => times[index]?.[trial] ?? 0));
  const everyone = candidates.map((_, index) => index);
  const trials = times[0]?.map((_, trial) => trial) ?? [];
  const bounds = trials.map((trial) => soonest(everyone, trial));
  /** By how much the plan would take the bed to last too long in each trial. */
  const over = (of: readonly number[]) =>
    trials.map((trial) => Math.log(soonest(of, trial) / (bounds[trial] ?? 1)));
  const excess = (of: readonly number[]) => {
    const logs = over(of);
    return Math.max(...logs) + logs.reduce((sum, one) => sum + one, 0) / logs.length;
  };
  const isClose = (of: readonly number[]) => Math.max(...over(of)) <= CLOSE_ENOUGH_LOG;
  let chosen: number[] = [];
  for (let turn = 0; turn < most && !isClose(chosen); turn++) {
    const best = everyone
      .filter((index) => !chosen.includes(index))
      .map((index) => ({ index, cost: excess([...chosen, index]) }))
      .sort((a, b) => a.cost - b.cost)[0];
    if (best !== undefined) chosen = [...chosen, best.index];
  }
  return chosen.sort((a, b) => a - b).flatMap((index) => candidates[index] ?? []);
}

const STEP_H = 1 / 12;
const LONGEST_H = 30;

/**
 * Hours until a store is dry: from full and from drained, and after a day of five doses by which it
 * has fallen behind or drained; each at a small, a middling and a great demand.
 */
function dryTimes(store: SeedbedStore): number[] {
  const watered = (netMm: number) => {
    let state: StoreState = store.stateAt(0.5, 0.4);
    for (let step = 0; step < 10 / STEP_H; step++) {
      const waterMm = step % 24 === 0 ? netMm : 0;
      state = store.step(state, { waterMm, demandMm: 0.4 * STEP_H, hours: STEP_H }).state;
    }
    return store.step(state, { waterMm: netMm, demandMm: 0.4 * STEP_H, hours: STEP_H }).state;
  };
  const starts = [store.full, store.stateAt(1, 0.4), watered(0.7), watered(1.5)];
  return starts.flatMap((start) =>
    DEMANDS_MM_PER_H.map((demandMmPerH) => {
      let state = start;
      for (let step = 0; step < LONGEST_H / STEP_H; step++) {
        if (store.marginMm(state, demandMmPerH) <= 0) return Math.max(step, 1) * STEP_H;
        const demandMm = demandMmPerH * STEP_H;
        state = store.step(state, { waterMm: 0, demandMm, hours: STEP_H }).state;
      }
      return LONGEST_H;
    }),
  );
}
