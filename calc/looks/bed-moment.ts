import type { Stage } from '../growth/stages.ts';
import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import { bookWater, dryBalance, stepOfStore } from '../schedule/bed-balance.ts';
import { bedDemand, STEP_MIN, STEP_MS, stepGrid } from '../schedule/demand.ts';
import { lossCoefficient } from '../schedule/loss-coefficient.ts';
import { type Run, runWater } from '../schedule/run.ts';
import type { Bed } from '../schedule/site.ts';
import { stateOfStation } from '../schedule/station-states.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { type BedMoment, leftFraction, noDrier, unmetAfter } from './expect-look.ts';

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
export function bedMoment(
  input: Followed & { stateBefore: StoreState; stationIds: readonly string[] },
): BedMoment {
  const { store, stateBefore, runs } = input;
  const [first, ...others] = partsOf(input.stationIds, stateBefore, store, runs).map((part) =>
    partMoment({ ...input, runs: part.runs }, part.state),
  );
  if (first === undefined) return partMoment(input, stateBefore);
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

function partMoment(input: Followed, stateBefore: StoreState): BedMoment {
  const { bed, stage, store, fromMs, atMs, hours, runs } = input;
  // One step beyond the look: its demand is that of the moment.
  const grid = stepGrid(fromMs, atMs + STEP_MS);
  const demand = bedDemand(bed, hours, lossCoefficient(stage, hours, bed.seenCoverFraction), grid);
  const balance = dryBalance({ store, grid, demand, stateNow: stateBefore });
  for (const run of runs) bookWater(balance, runWater([run]));
  const steps = Math.min(grid.steps - 1, Math.round((atMs - grid.startMs) / STEP_MS));
  let state = stateBefore;
  let unmetMm = 0;
  for (let step = 0; step < steps; step++) {
    const demandMm = demand.demandMm[step] ?? 0;
    state = stepOfStore(balance, state, step).state;
    state = noDrier(store, state, demandMm / STEP_H);
    unmetMm = unmetAfter(unmetMm, { store, state, demandMmPerH: demandMm / STEP_H }, STEP_H);
  }
  return { store, state, demandMmPerH: Math.max(0, demand.demandMm[steps] ?? 0) / STEP_H, unmetMm };
}
