import type { Stage } from '../growth/stages.ts';
import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import { bookWater, dryBalance } from '../schedule/bed-balance.ts';
import { bedDemand, STEP_MIN, STEP_MS, stepGrid } from '../schedule/demand.ts';
import { lossCoefficient } from '../schedule/loss-coefficient.ts';
import type { Run } from '../schedule/run.ts';
import type { Bed } from '../schedule/site.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { type BedMoment, noDrier, unmetAfter } from './expect-look.ts';

const STEP_H = STEP_MIN / 60;

/**
 * A bed brought up to the moment of a look with the weather and the runs since, as far as the model
 * knows. Other than the planner's balance it follows no store far below its dry limit.
 *
 * @param input.stateBefore state of the store at `fromMs`
 * @param input.hours hours without a gap from `fromMs` to beyond `atMs`
 * @param input.runs runs of this bed; each station waters its share of it
 */
export function bedMoment(input: {
  bed: Bed;
  stage: Stage;
  store: SeedbedStore;
  stateBefore: StoreState;
  fromMs: number;
  atMs: number;
  hours: readonly EtHour[];
  runs: readonly Run[];
  stations: number;
}): BedMoment {
  const { bed, stage, store, stateBefore, fromMs, atMs, hours, runs, stations } = input;
  // One step beyond the look: its demand is that of the moment.
  const grid = stepGrid(fromMs, atMs + STEP_MS);
  const demand = bedDemand(bed, hours, lossCoefficient(stage, hours), grid);
  const balance = dryBalance({ store, grid, demand, stateNow: stateBefore });
  for (const run of runs) {
    const endMs = run.startMs + run.runS * 1000;
    bookWater(balance, { startMs: run.startMs, endMs, netMm: run.netMm / Math.max(1, stations) });
  }
  const steps = Math.min(grid.steps - 1, Math.round((atMs - grid.startMs) / STEP_MS));
  let state = stateBefore;
  let unmetMm = 0;
  for (let step = 0; step < steps; step++) {
    const demandMm = demand.demandMm[step] ?? 0;
    const waterMm = (balance.irrigationMm[step] ?? 0) + (demand.rainMm[step] ?? 0);
    state = store.step(state, { waterMm, demandMm, hours: STEP_H }).state;
    state = noDrier(store, state, demandMm / STEP_H);
    unmetMm = unmetAfter(unmetMm, { store, state, demandMmPerH: demandMm / STEP_H }, STEP_H);
  }
  return { store, state, demandMmPerH: Math.max(0, demand.demandMm[steps] ?? 0) / STEP_H, unmetMm };
}
