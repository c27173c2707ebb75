import type { Stage } from '../growth/stages.ts';
import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';

import { bedDemand, lossCoefficient, STEP_MIN, STEP_MS, stepGrid } from '../schedule/demand.ts';
import { addEvenly, type Run } from '../schedule/run.ts';
import type { Bed } from '../schedule/site.ts';
import { stateOfStation } from '../schedule/station-states.ts';
import type { EtHour } from '../sky/weather-hour.ts';

/** What a bed would look like with these factors, as far as the model knows. */
export interface BedAtLook {
  store: SeedbedStore;
  state: StoreState;
  /** What the air asks for at that moment. */
  demandMmPerH: number;
  /** What the air has asked for in vain since the bed was dry; none when left out. */
  unmetMm?: number;
}

/** What was expected of a bed when it was looked at. */
export interface Expectation {
  /** Part of the store that was left; 0 or less: dry. */
  leftFraction: number;
  lostLog: number;
  byCapacityCoefficient: number;
  byExposureCoefficient: number;
}

/** Below this demand, as at dawn, what is left is told for this one, mm/h. */
const LEAST_DEMAND_MM_PER_H = 0.1;
/** Less than this part lost cannot be told from nothing. */
const LEAST_LOST_FRACTION = 0.05;
/** Step of the log of a factor for the slopes. */
const STEP_LOG = 0.1;

/**
 * Part of a store that is left at a moment's demand; 0 or less when the bed is dry, and the further
 * below, the longer it has been: what the air has asked for in vain goes on along the same line as
 * what it took before. A bed that has been dry for an hour is not seen lightening by a blur of the eye.
 */
export function leftFraction({ store, state, demandMmPerH, unmetMm = 0 }: BedAtLook): number {
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
  const leftMm = store.leftMm(state, demand);
  return (leftMm > 0 ? leftMm : Math.min(leftMm, -unmetMm)) / store.capacityMm(demand);
}

/** What the air has asked for in vain by the end of a step: it adds up while the bed is dry. */
export function unmetAfter(beforeMm: number, moment: BedAtLook, hours: number): number {
  const { store, state, demandMmPerH } = moment;
  const isDry = demandMmPerH > 0 && store.marginMm(state, demandMmPerH) <= 0;
  return isDry ? beforeMm + demandMmPerH * hours : 0;
}

/** Log of the part that is lost. */
export function lostLogOf(left: number): number {
  return Math.log(Math.max(LEAST_LOST_FRACTION, 1 - left));
}

/**
 * What the model expects of a bed at the moment of a look, with its slopes by the logs of the two
 * factors (differences half a step to each side).
 *
 * The log of the lost part is what is followed: of a bed that was full at its last water it is
 * `log(loss) + log(exposure) - log(capacity)`, a straight line in what is learned.
 *
 * @param momentOf brings the bed up to the look with these factors, without looks in between
 * @param factors those in force, both above 0
 */
export function expectLook(
  momentOf: (factors: { capacityFraction: number; exposureFraction: number }) => BedAtLook,
  factors: { capacityFraction: number; exposureFraction: number },
): Expectation {
  const { capacityFraction, exposureFraction } = factors;
  const half = Math.exp(STEP_LOG / 2);
  const lostAt = (capacity: number, exposure: number) =>
    lostLogOf(
      leftFraction(
        momentOf({
          capacityFraction: capacityFraction * capacity,
          exposureFraction: exposureFraction * exposure,
        }),
      ),
    );
  const left = leftFraction(momentOf(factors));
  return {
    leftFraction: left,
    lostLog: lostLogOf(left),
    byCapacityCoefficient: (lostAt(half, 1) - lostAt(1 / half, 1)) / STEP_LOG,
    byExposureCoefficient: (lostAt(1, half) - lostAt(1, 1 / half)) / STEP_LOG,
  };
}

/** A dry seedbed gives little more: it is followed no further below its limit than this part. */
const DRIEST_FRACTION = -0.1;

/**
 * A state kept from falling far below the dry limit. A store of sums goes on losing there at the
 * full demand; the sand does not, so a dry afternoon is no debt that the next cycle has to pay.
 */
export function heldNearDryLimit(
  store: SeedbedStore,
  state: StoreState,
  demandMmPerH: number,
): StoreState {
  if (!store.isAdditive) return state;
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
  const isDrier = store.leftMm(state, demand) < DRIEST_FRACTION * store.capacityMm(demand);
  return isDrier ? store.stateAt(DRIEST_FRACTION, demand) : state;
}

const STEP_H = STEP_MIN / 60;

/** What befell a bed from an instant to a look. */
interface Followed {
  bed: Bed;
  stage: Stage;
  store: SeedbedStore;
  fromMs: number;
  atMs: number;
  /** Without a gap from `fromMs` to beyond `atMs`. */
  hours: readonly EtHour[];
  /** Runs of this bed, each with the depth that its station gave to its part. */
  runs: readonly Run[];
}

/**
 * The driest part of a bed at the moment of a look, with the weather and the runs since as far as the
 * model knows: a person who looks at a bed looks for that. Each station's part is followed by its own
 * state and its own water. Other than the planner's balance it follows no store far below its dry
 * limit.
 *
 * @param input.stateBefore state of the bed at `fromMs`, of all its stations or of each
 * @param input.stationIds the bed's own; none: it is one part, whatever waters it
 */
export function bedAtLook(
  input: Followed & { stateBefore: StoreState; stationIds: readonly string[] },
): BedAtLook {
  const { store, stateBefore, runs } = input;
  const [first, ...others] = partsOf(input.stationIds, stateBefore, store, runs).map((part) =>
    partAtLook({ ...input, runs: part.runs }, part.state),
  );
  if (first === undefined) return partAtLook(input, stateBefore);
  return others.reduce(
    (driest, part) => (leftFraction(part) < leftFraction(driest) ? part : driest),
    first,
  );
}

interface Part {
  state: StoreState;
  runs: readonly Run[];
}

/** The stations' parts, each kind once: those that stood alike and were given alike are one. */
function partsOf(
  stationIds: readonly string[],
  stateBefore: StoreState,
  store: SeedbedStore,
  runs: readonly Run[],
): Part[] {
  const parts = new Map<string, Part>();
  for (const id of stationIds) {
    const state = stateOfStation(stateBefore, id, store);
    const own = runs.filter((run) => run.stationId === id);
    const given = own.map(({ startMs, runS, netMm }) => [startMs, runS, netMm]);
    parts.set(JSON.stringify([state, given]), { state, runs: own });
  }
  return [...parts.values()];
}

function partAtLook(input: Followed, stateBefore: StoreState): BedAtLook {
  const { bed, stage, store, fromMs, atMs, hours, runs } = input;
  // One step beyond the look: its demand is that of the moment.
  const grid = stepGrid(fromMs, atMs + STEP_MS);
  const demand = bedDemand(bed, hours, lossCoefficient(stage, hours, bed.seenCoverFraction), grid);
  const waterMm = new Float64Array(grid.steps);
  for (const run of runs) {
    const { startMs, runS, netMm } = run;
    addEvenly(waterMm, grid, { startMs, endMs: startMs + runS * 1000, netMm });
  }
  const steps = Math.min(grid.steps - 1, Math.round((atMs - grid.startMs) / STEP_MS));
  let state = stateBefore;
  let unmetMm = 0;
  for (let step = 0; step < steps; step++) {
    const demandMm = demand.demandMm[step] ?? 0;
    state = store.step(state, {
      waterMm: (waterMm[step] ?? 0) + (demand.rainMm[step] ?? 0),
      demandMm,
      nightExtraMm: demand.nightExtraMm?.[step] ?? 0,
      hours: STEP_H,
    }).state;
    state = heldNearDryLimit(store, state, demandMm / STEP_H);
    unmetMm = unmetAfter(unmetMm, { store, state, demandMmPerH: demandMm / STEP_H }, STEP_H);
  }
  return { store, state, demandMmPerH: Math.max(0, demand.demandMm[steps] ?? 0) / STEP_H, unmetMm };
}
