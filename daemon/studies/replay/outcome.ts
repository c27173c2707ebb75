import { STAGES } from '../../../calc/growth/stages.ts';
import type { SeedbedStore } from '../../../calc/sand/seedbed-store.ts';
import { bookWater, dryBalance, seriesOf, totalMm } from '../../../calc/schedule/bed-balance.ts';
import { leftMmOf } from '../../../calc/schedule/bed-moisture.ts';
import { type LaidCycle, numberedRuns } from '../../../calc/schedule/bed-plan.ts';
import type { Cycle, DayPlan } from '../../../calc/schedule/day-plan.ts';
import {
  bedDemand,
  lossCoefficient,
  STEP_MIN,
  STEP_MS,
  stepGrid,
} from '../../../calc/schedule/demand.ts';
import { cyclesOfPlan } from '../../../calc/schedule/leeway-change.ts';
import type { GivenWater } from '../../../calc/schedule/plan-change.ts';
import { type Run, runWater } from '../../../calc/schedule/run.ts';
import type { Site } from '../../../calc/schedule/site.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';

/** What stands once a revision is confirmed: it rules from its first run on. */
export function cyclesAfterRevision(standing: readonly LaidCycle[], plan: DayPlan): LaidCycle[] {
  const before = standing.filter((cycle) => cycle.startMs < plan.firstRunMs);
  const after = cyclesOfPlan(plan).filter((cycle) => cycle.startMs >= plan.firstRunMs);
  return [...before, ...after];
}

/**
 * The morning's plan with the cycles that ran in the end, and the water that reached the ground in
 * the wind as it was.
 */
export function asItRan(
  morning: DayPlan,
  standing: readonly LaidCycle[],
  driftAt: (instantMs: number) => number,
): DayPlan {
  const ran = standing.map((cycle): LaidCycle => {
    const driftLossFraction = driftAt(cycle.startMs);
    const net = (grossMm: number) => grossMm * (1 - driftLossFraction);
    return {
      ...cycle,
      driftLossFraction,
      netMm: net(cycle.grossMm),
      runs: cycle.runs.map((run) => ({ ...run, netMm: net(run.grossMm) })),
    };
  });
  const own = (bedId: string) => ran.filter((cycle) => cycle.bedId === bedId);
  return {
    ...morning,
    beds: morning.beds.map((bed) => {
      const cycles = own(bed.bedId).map(
        ({ runs: _, bedId: __, ...cycle }, index): Cycle => ({ ...cycle, cycle: index + 1 }),
      );
      const total = (pick: (cycle: Cycle) => number) =>
        cycles.reduce((sum, cycle) => sum + pick(cycle), 0);
      return {
        ...bed,
        cycles,
        grossMm: total((cycle) => cycle.grossMm),
        netMm: total((cycle) => cycle.netMm),
        drainedMm: total((cycle) => cycle.drainedMm),
      };
    }),
    runs: morning.beds
      .flatMap((bed) => numberedRuns(own(bed.bedId)))
      .sort((a, b) => a.startMs - b.startMs || (a.stationId < b.stationId ? -1 : 1)),
  };
}

/** The runs of standing cycles, which have no number in a new plan yet. */
export function standingRuns(standing: readonly LaidCycle[]): Run[] {
  return standing.flatMap((cycle) => cycle.runs.map((run) => ({ ...run, cycle: 0 })));
}

/** Water that the beds got of standing cycles before an instant. */
export function givenBy(standing: readonly LaidCycle[], nowMs: number): GivenWater[] {
  return standing
    .filter((cycle) => cycle.startMs < nowMs)
    .map(({ bedId, startMs, netMm }) => ({ bedId, startMs, netMm }));
}

/** What a day made of a bed under the weather as it was. */
export interface BedOutcome {
  bedId: string;
  lossMm: number;
  grossMm: number;
  netMm: number;
  /** Of all that the bed held, the water of days before and rain too. */
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
    const ofCycle = (cycle: number) => own.filter((run) => run.cycle === cycle);
    bookWater(balance, ...planned.cycles.map(({ cycle }) => runWater(ofCycle(cycle))));
    const { marginMm, drainedMm } = seriesOf(balance);
    const dry = marginMm.filter((mm, step) => {
      const atMs = grid.startMs + step * STEP_MS;
      const light = atMs >= (sunriseMs ?? fromMs) && atMs < (sunsetMs ?? toMs);
      return mm < 0 && light;
    });
    return {
      bedId: bed.id,
      lossMm: totalMm(balance.demand.demandMm),
      grossMm: planned.grossMm,
      netMm: planned.netMm,
      drainedMm: totalMm(drainedMm),
      cycles: planned.cycles.length,
      minutesBelowDryLimit: dry.length * STEP_MIN,
      lowestStoreMm: lowestByHour(leftMmOf(balance)),
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
