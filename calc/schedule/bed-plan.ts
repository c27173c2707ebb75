import { type BedBalance, roomAt, stateAt, stepAt, totalMm } from './bed-balance.ts';
import type { BedGermination, BedPlan, Cycle } from './day-plan.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { WaterWindow } from './due-window.ts';
import type { LaidCycle } from './laid-cycle.ts';
import type { Bed, Station } from './site.ts';
import { stationDays } from './station-days.ts';

/**
 * A bed's day in figures, from its finished balance and its cycles in order of time: loss, water,
 * what drains, and how far down the store comes, until tomorrow's first water. Dryness is that of its
 * driest station, drainage that of its wettest.
 */
export function bedPlan(input: {
  bed: Bed;
  balance: BedBalance;
  reserveFraction: number;
  dryAtMs: number | null;
  startMs: number;
  window: WaterWindow;
  daylight: { startMs: number; endMs: number };
  laid: readonly LaidCycle[];
  stations: readonly Station[];
  germination: BedGermination | null;
}): BedPlan {
  const { bed, balance, reserveFraction, dryAtMs, startMs, window, daylight, laid } = input;
  const { grid } = balance;
  const steps = stepAt(grid, window.nextFirstStartMs) + 1;
  const storeMm = Array.from(balance.leftMm.subarray(0, steps + 1));
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
    reserveMm: balance.reserveBaseMm * reserveFraction,
    storeNowMm: storeMm[0] ?? 0,
    state: stateAt(balance, grid.startMs),
    dryAtMs,
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
    },
  };
}
