import { STEP_MIN, STEP_MS } from './demand.ts';
import type { PassResult, PlacementInput } from './placement-pass.ts';

/** What a placement costs, in the order in which it counts. */
export interface PlacementCost {
  /** Minutes below the reserve over all beds, while they lose water and could have had some. */
  minutesBelowReserve: number;
  cycles: number;
  netMm: number;
}

export function placementCost(
  input: Pick<PlacementInput, 'limits' | 'window' | 'startMs'>,
  { cycles, balances }: Pick<PassResult, 'cycles' | 'balances'>,
): PlacementCost {
  const { limits, window } = input;
  let minutesBelowReserve = 0;
  for (const { grid, demand, leftMm, capacityMm } of balances) {
    const reserveMm = limits.reserveFraction * capacityMm - 1e-6;
    for (let step = 0; step < grid.steps; step++) {
      const atMs = grid.startMs + step * STEP_MS;
      if (atMs >= window.nextFirstStartMs) break;
      const isLosing = (demand.demandMm[step] ?? 0) > 0;
      if (isLosing && (leftMm[step] ?? 0) < reserveMm) minutesBelowReserve += STEP_MIN;
    }
  }
  return {
    minutesBelowReserve,
    cycles: cycles.length,
    netMm: cycles.reduce((sum, cycle) => sum + cycle.block.netMm, 0),
  };
}

export function isCheaper(a: PlacementCost, b: PlacementCost): boolean {
  if (a.minutesBelowReserve !== b.minutesBelowReserve) {
    return a.minutesBelowReserve < b.minutesBelowReserve;
  }
  if (a.cycles !== b.cycles) return a.cycles < b.cycles;
  return a.netMm < b.netMm - 1e-9;
}
