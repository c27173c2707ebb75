import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore } from '../../calc/sand/seedbed-store.ts';
import { bookWater, dryBalance, totalMm } from '../../calc/schedule/bed-balance.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { bedDemand, STEP_MIN, STEP_MS, stepGrid } from '../../calc/schedule/demand.ts';
import { lossCoefficient } from '../../calc/schedule/loss-coefficient.ts';
import { runWater } from '../../calc/schedule/run.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';

/** What a day made of a bed under the weather as it was. */
export interface BedOutcome {
  bedId: string;
  lossMm: number;
  grossMm: number;
  netMm: number;
  drainedMm: number;
  cycles: number;
  minutesBelowDryLimit: number;
  /** The store's lowest in each hour from the morning on, mm; below 0 the seedbed is dry. */
  lowestStoreMm: number[];
}

/** Runs a plan's water through the stores under the real weather, from one morning to the next. */
export function outcomeOf(input: {
  site: Site;
  stores: ReadonlyMap<string, SeedbedStore>;
  plan: DayPlan;
  hours: readonly EtHour[];
  fromMs: number;
  toMs: number;
}): BedOutcome[] {
  const { site, stores, plan, hours, fromMs, toMs } = input;
  const grid = stepGrid(fromMs, toMs);
  const { sunriseMs, sunsetMs } = plan;
  return plan.beds.map((planned) => {
    const bed = site.beds.find((one) => one.id === planned.bedId);
    const store = stores.get(planned.bedId);
    if (bed === undefined || store === undefined) {
      throw new RangeError(`bed: not on the site (got ${planned.bedId})`);
    }
    const stage = STAGES[bed.stage];
    const balance = dryBalance({
      store,
      grid,
      demand: bedDemand(bed, hours, lossCoefficient(stage, hours), grid),
      stateNow: planned.state,
      stations: site.stations.filter((station) => station.bedId === bed.id),
    });
    const own = plan.runs.filter((run) => run.bedId === bed.id);
    const drainedMm = planned.cycles.reduce((sum, { cycle }) => {
      const runs = own.filter((run) => run.cycle === cycle);
      return sum + bookWater(balance, runWater(runs));
    }, 0);
    const dry = balance.marginMm.filter((mm, step) => {
      const atMs = grid.startMs + step * STEP_MS;
      const light = atMs >= (sunriseMs ?? fromMs) && atMs < (sunsetMs ?? toMs);
      return mm < 0 && light;
    });
    return {
      bedId: bed.id,
      lossMm: totalMm(balance.demand.demandMm),
      grossMm: planned.grossMm,
      netMm: planned.netMm,
      drainedMm,
      cycles: planned.cycles.length,
      minutesBelowDryLimit: dry.length * STEP_MIN,
      lowestStoreMm: lowestByHour(balance.leftMm),
    };
  });
}

function lowestByHour(leftMm: Float64Array): number[] {
  const steps = 60 / STEP_MIN;
  const hours = Math.ceil((leftMm.length - 1) / steps);
  return Array.from({ length: hours }, (_, hour) =>
    Math.min(...leftMm.subarray(hour * steps, (hour + 1) * steps)),
  );
}
