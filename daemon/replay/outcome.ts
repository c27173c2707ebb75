import { STAGES } from '../../calc/growth/stages.ts';
import { managedSand } from '../../calc/sand/managed-sand.ts';
import { bookWater, dryBalance } from '../../calc/schedule/bed-balance.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { bedDemand, STEP_MIN, STEP_MS, stepGrid } from '../../calc/schedule/demand.ts';
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
}

/** Runs a plan's water through the stores under the real weather, from one morning to the next. */
export function outcomeOf(input: {
  site: Site;
  plan: DayPlan;
  hours: readonly EtHour[];
  fromMs: number;
  toMs: number;
}): BedOutcome[] {
  const { site, plan, hours, fromMs, toMs } = input;
  const grid = stepGrid(fromMs, toMs);
  const { sunriseMs, sunsetMs } = plan;
  return plan.beds.map((planned) => {
    const bed = site.beds.find((one) => one.id === planned.bedId);
    if (bed === undefined) throw new RangeError(`bed: not on the site (got ${planned.bedId})`);
    const stage = STAGES[bed.stage];
    const balance = dryBalance({
      sand: managedSand(bed.sand, stage.managedDepthMm),
      grid,
      demand: bedDemand(bed, hours, stage.cropCoefficientFraction, grid),
      storeNowMm: planned.storeNowMm,
    });
    for (const cycle of planned.cycles) bookWater(balance, cycle);
    const dry = balance.storeMm.filter((mm, step) => {
      const atMs = grid.startMs + step * STEP_MS;
      const light = atMs >= (sunriseMs ?? fromMs) && atMs < (sunsetMs ?? toMs);
      return mm < 0 && light;
    });
    return {
      bedId: bed.id,
      lossMm: sum(balance.demand.demandMm),
      grossMm: planned.grossMm,
      netMm: planned.netMm,
      drainedMm: sum(balance.drainedMm),
      cycles: planned.cycles.length,
      minutesBelowDryLimit: dry.length * STEP_MIN,
    };
  });
}

function sum(values: Float64Array): number {
  return values.reduce((total, value) => total + value, 0);
}
