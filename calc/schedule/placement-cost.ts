import type { BedBalance } from './bed-balance.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { WaterWindow } from './due-window.ts';
import type { Limits } from './site.ts';

/** What a placement costs, in the order in which it counts. */
export interface PlacementCost {
  /** Minutes past the dry limit, while water is lost: they can cost the stand. */
  minutesBelowDryLimit: number;
  /** Minutes below the reserve, those among them: they only eat into the margin. */
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
  const { grid, demand, leftMm, reserveBaseMm } = balance;
  const reserveMm = limits.reserveFraction * reserveBaseMm - 1e-6;
  let minutesBelowDryLimit = 0;
  let minutesBelowReserve = 0;
  let firstShortMs: number | null = null;
  for (let step = 0; step < grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    if (atMs >= window.nextFirstStartMs) break;
    const isLosing = (demand.demandMm[step] ?? 0) > 0;
    if (!isLosing || (leftMm[step] ?? 0) >= reserveMm) continue;
    minutesBelowReserve += STEP_MIN;
    if ((leftMm[step] ?? 0) < 0) minutesBelowDryLimit += STEP_MIN;
    firstShortMs ??= atMs;
  }
  return {
    minutesBelowDryLimit,
    minutesBelowReserve,
    firstShortMs,
    cycles: cycles.length,
    netMm: cycles.reduce((sum, cycle) => sum + cycle.block.netMm, 0),
  };
}

export function sumOfCosts(costs: readonly PlacementCost[]): PlacementCost {
  return costs.reduce(
    (sum, one) => ({
      minutesBelowDryLimit: sum.minutesBelowDryLimit + one.minutesBelowDryLimit,
      minutesBelowReserve: sum.minutesBelowReserve + one.minutesBelowReserve,
      cycles: sum.cycles + one.cycles,
      netMm: sum.netMm + one.netMm,
    }),
    { minutesBelowDryLimit: 0, minutesBelowReserve: 0, cycles: 0, netMm: 0 },
  );
}

export function isCheaper(a: PlacementCost, b: PlacementCost): boolean {
  if (isDrier(a, b) || isDrier(b, a)) return isDrier(b, a);
  if (a.cycles !== b.cycles) return a.cycles < b.cycles;
  return a.netMm < b.netMm - 1e-9;
}

/** Whether the first leaves beds dry, or else below their reserve, for longer. */
export function isDrier(
  a: Pick<PlacementCost, 'minutesBelowDryLimit' | 'minutesBelowReserve'>,
  b: Pick<PlacementCost, 'minutesBelowDryLimit' | 'minutesBelowReserve'>,
): boolean {
  if (a.minutesBelowDryLimit !== b.minutesBelowDryLimit) {
    return a.minutesBelowDryLimit > b.minutesBelowDryLimit;
  }
  return a.minutesBelowReserve > b.minutesBelowReserve;
}
