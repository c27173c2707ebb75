import { type BedBalance, firstAtPart } from './bed-balance.ts';
import type { LaidBed } from './day-layout.ts';
import { STEP_MS } from './demand.ts';
import type { PlacementInput } from './placement-pass.ts';
import type { Reason } from './reasons.ts';
import { ceilToSlot, floorToSlot } from './start-search.ts';

/** What a cycle of a finished day is needed for. */
export interface CycleNeed {
  /** Null where the bed would not come to its reserve without it. */
  why: Reason | null;
  /** Said in place of it where the bed's rest is what the cycle waits for; null: it is not. */
  rested: Reason | null;
  /** The latest start that is safe; null where that lies outside the hours of water. */
  wantedMs: number | null;
}

/**
 * What a bed needed a cycle for, and by when.
 *
 * @param given.balance The bed's water with the cycles before this one and no other.
 * @param given.freeMs From when on the bed has rested; `isRested`: it had something to rest from.
 */
export function cycleNeed(given: {
  input: PlacementInput;
  bed: LaidBed;
  index: number;
  balance: BedBalance;
  freeMs: number;
  isRested: boolean;
}): CycleNeed {
  const { input, bed, index, balance, freeMs, isRested } = given;
  const { window, limits, slotMs } = input;
  const cycle = bed.cycles[index];
  const nothing = { why: null, rested: null, wantedMs: null };
  if (cycle === undefined) return nothing;
  const atMs = firstAtPart(balance, limits.reserveFraction, freeMs);
  if (atMs === null) return nothing;
  const atReserve: Reason = { code: 'store_at_reserve', atMs };
  // Tomorrow's first water would be in time: it is none that this day has to carry over.
  if (atMs >= window.nextFirstStartMs) return { ...nothing, why: atReserve };
  const openMs = Math.max(freeMs, window.firstStartMs);
  const closeMs = window.lastEndMs - cycle.block.durationS * 1000;
  const dueMs = atMs - cycle.block.leadS * 1000;
  const latest = (untilMs: number) =>
    Math.max(floorToSlot(untilMs, slotMs), ceilToSlot(openMs, slotMs));
  if (dueMs > closeMs) {
    return carriesOver(bed, index, window.nextFirstStartMs)
      ? {
          why: { code: 'last_of_day', untilMs: window.nextFirstStartMs },
          rested: null,
          wantedMs: latest(closeMs),
        }
      : { why: atReserve, rested: null, wantedMs: null };
  }
  const wantedMs = latest(dueMs);
  // A bed that is at its reserve already as it comes off its rest, or as the day opens, waited for that.
  if (dueMs >= openMs && atMs > freeMs) return { why: atReserve, rested: null, wantedMs };
  const isFirst = index === 0 && openMs === window.firstStartMs && hadNone(input, bed);
  const restMin = limits.restMin;
  return {
    why: isFirst ? { code: 'first_of_day' } : atReserve,
    rested:
      isRested && restMin > 0 && openMs === freeMs && atMs <= freeMs
        ? { code: 'rested_first', restMin }
        : null,
    wantedMs,
  };
}

/** Whether the plan has no water of the bed before its own. */
function hadNone({ kept }: PlacementInput, bed: LaidBed): boolean {
  return kept.every((cycle) => cycle.bedId !== bed.placing.bed.id);
}

/** Whether the bed is moist as its last cycle begins, and stays so to an instant. */
function carriesOver({ balance, cycles }: LaidBed, index: number, untilMs: number): boolean {
  const { grid, marginMm, demand } = balance;
  if (index !== cycles.length - 1) return false;
  const first = Math.floor(((cycles[index]?.startMs ?? 0) - grid.startMs) / STEP_MS);
  if ((marginMm[first] ?? 0) < -DRY_MM) return false;
  for (let step = first + 1; grid.startMs + step * STEP_MS < untilMs; step++) {
    if ((marginMm[step] ?? 0) < -DRY_MM && (demand.demandMm[step] ?? 0) > 0) return false;
  }
  return true;
}

const DRY_MM = 1e-6;
