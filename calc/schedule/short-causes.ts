import type { DayLayout, LaidBed } from './day-layout.ts';
import { STEP_MS } from './demand.ts';
import { blockAt, ceilToSlot, type Obstacle, type Search, standsInTheWay } from './start-search.ts';

/** What keeps one more cycle from a start in a finished day. */
export type Cause = Obstacle | { kind: 'rest' } | { kind: 'before_hours' };

/** What stood at a start while, or shortly before, a bed was below its reserve. */
export interface Obstructed {
  bedId: string;
  atMs: number;
  by: Cause;
}

/** Water that starts so long before a shortage would have been in time for it. */
const BEFORE_STEPS = 3;
/** A store that dips to its reserve just as water arrives is the plan, not a shortage. */
const SHORT_FRACTION = 0.9;

/**
 * What stands in the way of a bed's smallest cycle at the starts around its shortages, beside all
 * cycles of the finished day, its own too. A start that is free gives nothing.
 */
export function obstructedStarts(layout: DayLayout, bed: LaidBed): Obstructed[] {
  const { balance, placing } = bed;
  const { grid, leftMm, demand, reserveBaseMm } = balance;
  const { window, limits, slotMs } = layout.input;
  const reserveMm = SHORT_FRACTION * limits.reserveFraction * reserveBaseMm;
  const isShort = (step: number) =>
    (leftMm[step] ?? 0) < reserveMm &&
    ((demand.demandMm[step] ?? 0) > 0 || (leftMm[step] ?? 0) < 0) &&
    grid.startMs + step * STEP_MS < (window.sunsetMs ?? window.lastEndMs);
  const found: Obstructed[] = [];
  for (let step = 0; step < grid.steps; step++) {
    const isNear = Array.from({ length: BEFORE_STEPS + 1 }, (_, ahead) => step + ahead).some(
      isShort,
    );
    if (!isNear) continue;
    const atMs = ceilToSlot(grid.startMs + step * STEP_MS, slotMs);
    const by = causeAt(layout, bed, atMs);
    if (by !== null) found.push({ bedId: placing.bed.id, atMs, by });
  }
  return found;
}

function causeAt(layout: DayLayout, bed: LaidBed, startMs: number): Cause | null {
  const { input, timeline } = layout;
  const { window, limits } = input;
  const search: Search = { ...input, timeline };
  const dose = blockAt(bed.placing, search, startMs, 0);
  const endMs = startMs + dose.block.durationS * 1000;
  const restMs = limits.restMin * 60_000;
  if (startMs < window.firstStartMs) return { kind: 'before_hours' };
  if (endMs > window.lastEndMs) return { kind: 'day_over' };
  const inTheWay = standsInTheWay(bed.placing, search, { startMs, roomMm: 0, ...dose });
  if (inTheWay?.by.kind === 'keep_off') return inTheWay.by;
  const hasRested =
    startMs >= bed.freeFromMs &&
    bed.cycles.every(
      (one) =>
        startMs >= one.startMs + one.block.durationS * 1000 + restMs ||
        endMs + restMs <= one.startMs,
    );
  // While the bed itself drinks or rests, what the supply says may be its own flow.
  return hasRested ? (inTheWay?.by ?? null) : { kind: 'rest' };
}
