import type { BedBalance } from './bed-balance.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { WaterWindow } from './due-window.ts';
import type { Limits } from './site.ts';

/** What a placement costs, in the order in which it counts. */
export interface PlacementCost {
  /** Minutes below the reserve, while water is lost. */
  minutesBelowReserve: number;
  cycles: number;
  netMm: number;
}

/** A bed's cost, and when its trouble begins. */
export interface BedCost extends PlacementCost {
  /** First instant below the reserve; null when there is none. */
  firstShortMs: number | null;
}

/** What one bed's finished day costs. */
export function bedCost(
  balance: BedBalance,
  cycles: readonly { block: { netMm: number } }[],
  { limits, window }: { limits: Pick<Limits, 'reserveFraction'>; window: WaterWindow },
): BedCost {
  const { grid, demand, leftMm, capacityMm } = balance;
  const reserveMm = limits.reserveFraction * capacityMm - 1e-6;
  let minutesBelowReserve = 0;
  let firstShortMs: number | null = null;
  for (let step = 0; step < grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    if (atMs >= window.nextFirstStartMs) break;
    const isLosing = (demand.demandMm[step] ?? 0) > 0;
    if (!isLosing || (leftMm[step] ?? 0) >= reserveMm) continue;
    minutesBelowReserve += STEP_MIN;
    firstShortMs ??= atMs;
  }
  return {
    minutesBelowReserve,
    firstShortMs,
    cycles: cycles.length,
    netMm: cycles.reduce((sum, cycle) => sum + cycle.block.netMm, 0),
  };
}

export function sumOfCosts(costs: readonly PlacementCost[]): PlacementCost {
  return costs.reduce(
    (sum, one) => ({
      minutesBelowReserve: sum.minutesBelowReserve + one.minutesBelowReserve,
      cycles: sum.cycles + one.cycles,
      netMm: sum.netMm + one.netMm,
    }),
    { minutesBelowReserve: 0, cycles: 0, netMm: 0 },
  );
}

export function isCheaper(a: PlacementCost, b: PlacementCost): boolean {
  if (a.minutesBelowReserve !== b.minutesBelowReserve) {
    return a.minutesBelowReserve < b.minutesBelowReserve;
  }
  if (a.cycles !== b.cycles) return a.cycles < b.cycles;
  return a.netMm < b.netMm - 1e-9;
}
