import {
  type BedBalance,
  partAlone,
  seriesOf,
  stateAtStart,
  stepAt,
  totalMm,
} from './bed-balance.ts';
import type { DryBand } from './bed-moisture.ts';
import { drainedFor, dryRiskOf, leftMmOf, roomAt } from './bed-moisture.ts';
import type { BedGermination, BedPlan, Cycle, StationDay } from './day-plan.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { WaterWindow } from './due-window.ts';
import type { PlacedCycle } from './placement-pass.ts';
import { type KeptCycle, type Run, waterToCome } from './run.ts';
import type { Daylight } from './shortages.ts';
import type { Bed, Station } from './site.ts';
import { storeBand } from './store-band.ts';

/**
 * A bed's day in figures, from its finished balance and its cycles in order of time: loss, water,
 * what drains, and how far down the store comes, until tomorrow's first water. Dryness is that of its
 * driest station, drainage that of its wettest.
 */
export function bedPlan(input: {
  bed: Bed;
  balance: BedBalance;
  dryAtMs: number | null;
  dryBand: DryBand;
  reserveMm: number;
  startMs: number;
  window: WaterWindow;
  daylight: { startMs: number; endMs: number };
  laid: readonly LaidCycle[];
  stations: readonly Station[];
  germination: BedGermination | null;
}): BedPlan {
  const { bed, balance, dryAtMs, startMs, window, daylight, laid } = input;
  const { grid } = balance;
  const steps = stepAt(grid, window.nextFirstStartMs) + 1;
  const storeMm = Array.from(leftMmOf(balance).subarray(0, steps + 1));
  const levels = storeMm.map((mm, step) => ({ mm, atMs: grid.startMs + step * STEP_MS }));
  const inDaylight = levels.filter(({ atMs }) => atMs >= daylight.startMs && atMs < daylight.endMs);
  // A plan made after sunset has only the night to tell of.
  const lowest = (inDaylight.length > 0 ? inDaylight : levels).reduce((low, one) =>
    one.mm < low.mm ? one : low,
  );
  const cycles = laid.map(
    ({ runs: _, bedId: __, ...cycle }, index): Cycle => ({ ...cycle, cycle: index + 1 }),
  );
  const { capacityMm } = balance;
  const lossMm = totalMm(balance.demand.demandMm.subarray(0, steps));
  const band = storeBand(balance, steps);
  const stations = stationDays({
    ...input,
    runs: laid.flatMap(({ runs }) => runs),
    untilMs: grid.startMs + steps * STEP_MS,
    lossMm,
    drainedMm: cycles.reduce((total, cycle) => total + cycle.drainedMm, 0),
  });
  return {
    bedId: bed.id,
    name: bed.name,
    stage: bed.stage,
    capacityMm,
    reserveMm: input.reserveMm,
    storeNowMm: storeMm[0] ?? 0,
    state: stateAtStart(balance),
    dryAtMs,
    ...(balance.futures.length > 1
      ? {
          dryBandMs: input.dryBand,
          dryRiskFraction: dryRiskOf(
            balance,
            (atMs) =>
              atMs >= daylight.startMs && atMs < Math.min(daylight.endMs, window.nextFirstStartMs),
          ),
        }
      : {}),
    lossMm,
    rainMm: totalMm(balance.demand.rainMm.subarray(0, steps)),
    grossMm: cycles.reduce((total, cycle) => total + cycle.grossMm, 0),
    netMm: cycles.reduce((total, cycle) => total + cycle.netMm, 0),
    drainedMm: Math.max(0, ...stations.map((station) => station.drainedMm)),
    percentOfLoss:
      lossMm > 0 ? (100 * Math.min(...stations.map((station) => station.netMm))) / lossMm : null,
    stations,
    minutesBelowDryLimit: inDaylight.filter(({ mm }) => mm < 0).length * STEP_MIN,
    lowestStoreMm: lowest.mm,
    lowestAtMs: Math.max(startMs, lowest.atMs),
    cycles,
    germination: input.germination,
    expectedStore: {
      startMs: grid.startMs,
      stepMin: STEP_MIN,
      storeMm,
      roomMm: levels.map(({ atMs }) => roomAt(balance, atMs)),
      ...(band === null ? {} : { band }),
    },
  };
}

/**
 * What each station's part of a bed gets and how it fares, each worked out by itself from the runs of
 * the finished plan.
 *
 * @param balance The bed's finished balance, of the same stations.
 * @param runs The bed's runs in the plan.
 * @param untilMs To here loss and moisture count: tomorrow's first water.
 */
function stationDays(input: {
  stations: readonly Station[];
  balance: BedBalance;
  runs: readonly Omit<Run, 'cycle'>[];
  daylight: Daylight;
  startMs: number;
  untilMs: number;
  lossMm: number;
  /** What drains of the bed's cycles, where it is one part. */
  drainedMm: number;
}): StationDay[] {
  const { stations, balance, runs, daylight, startMs, untilMs, lossMm } = input;
  const { grid, parts } = balance;
  const dayOf = new Map<string, Pick<StationDay, 'drainedMm' | 'minutesBelowDryLimit'>>();
  for (const part of parts) {
    const { stationIds } = part;
    const [first] = stationIds;
    let { drainedMm } = input;
    let own = balance;
    if (parts.length > 1) {
      own = partAlone(balance, part);
      const water = runs.filter(({ stationId }) => stationId === first);
      drainedMm = drainedFor(own, ...water.map((run) => waterToCome([run], startMs)));
    }
    let minutesBelowDryLimit = 0;
    const { marginMm } = seriesOf(own);
    for (let step = 0; step <= grid.steps; step++) {
      const atMs = grid.startMs + step * STEP_MS;
      if (atMs < daylight.startMs || atMs >= daylight.endMs || atMs > untilMs) continue;
      if ((marginMm[step] ?? 0) < 0) minutesBelowDryLimit += STEP_MIN;
    }
    for (const id of stationIds) dayOf.set(id, { drainedMm, minutesBelowDryLimit });
  }
  return stations.map(({ id }): StationDay => {
    const own = runs.filter(({ stationId }) => stationId === id);
    const sum = (of: (run: Omit<Run, 'cycle'>) => number) =>
      own.reduce((total, run) => total + of(run), 0);
    const netMm = sum((run) => run.netMm);
    return {
      stationId: id,
      rotations: sum((run) => run.rotations),
      runS: sum((run) => run.runS),
      grossMm: sum((run) => run.grossMm),
      netMm,
      percentOfLoss: lossMm > 0 ? (100 * netMm) / lossMm : null,
      ...(dayOf.get(id) ?? { drainedMm: 0, minutesBelowDryLimit: 0 }),
    };
  });
}

/** A cycle with its place in the day, whether newly placed or kept, before it has a number. */
export interface LaidCycle extends Omit<Cycle, 'cycle'> {
  bedId: string;
  runs: readonly Omit<Run, 'cycle'>[];
}

/** @param drainedMm By how much more drains for it, from its booking. */
export function keptCycle(cycle: KeptCycle, drainedMm: number): LaidCycle {
  return { ...cycle, wantedStartMs: null, drainedMm, reasons: [{ code: 'kept' }] };
}

export function laidCycle(cycle: PlacedCycle): LaidCycle {
  const { bedId, startMs, block, driftLossFraction, drainedMm, wantedMs = null, reasons } = cycle;
  return {
    bedId,
    startMs,
    endMs: startMs + block.durationS * 1000,
    wantedStartMs: wantedMs,
    grossMm: block.grossMm,
    netMm: block.netMm,
    rotations: block.rotations,
    driftLossFraction,
    drainedMm,
    reasons,
    runs: block.runs.map((run) => ({
      bedId,
      stationId: run.station.id,
      startMs: startMs + run.offsetS * 1000,
      runS: run.runS,
      rotations: run.rotations,
      grossMm: run.grossMm,
      netMm: run.netMm,
    })),
  };
}

/** The runs of one bed's cycles, each with the number of its cycle, from 1. */
export function numberedRuns(cycles: readonly LaidCycle[]): Run[] {
  return cycles.flatMap((cycle, index) => cycle.runs.map((run) => ({ ...run, cycle: index + 1 })));
}
