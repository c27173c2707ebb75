import { type BedBalance, seriesOf } from './bed-balance.ts';
import type { DayLayout, LaidBed } from './day-layout.ts';
import type { Shortage, ShortageCause, ShortStretch } from './day-plan.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { WaterWindow } from './due-window.ts';
import { blockAt, ceilToSlot, findObstacle, type Obstacle, type Search } from './start-search.ts';

/** Shorter dips below the reserve are within what the five-minute steps can tell apart. */
const WORTH_NAMING_MIN = 10;
/** What stood so long before a shortage kept water from being in time for it. */
const SAME_CAUSE_MS = 15 * 60_000;

/** From sunrise to sunset. */
export interface Daylight {
  startMs: number;
  endMs: number;
}

interface ShortInput {
  bedId: string;
  balance: BedBalance;
  daylight: Daylight;
}

/**
 * Stretches of daylight in which a bed stays below its reserve although water was owed, each with
 * the limit that stood in the way.
 */
export function shortagesOf(
  input: ShortInput & {
    window: WaterWindow;
    obstructed: readonly ObstructedStart[];
  },
): Shortage[] {
  return shortStretches(input).map((one) => ({ ...one, cause: causeOf(one, input), remedy: null }));
}

/** The same stretches, without what stands in the way. */
export function shortStretches(input: ShortInput): ShortStretch[] {
  const { bedId, balance, daylight } = input;
  const { grid } = balance;
  const { marginMm, riskMarginMm } = seriesOf(balance);
  const found: ShortStretch[] = [];
  let open: ShortStretch | null = null;
  for (let step = 0; step <= grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    const store = marginMm[step] ?? 0;
    // A margin that comes down to nothing just as water arrives is the plan, not a shortage.
    const short =
      step < grid.steps &&
      atMs >= daylight.startMs &&
      atMs < daylight.endMs &&
      (riskMarginMm[step] ?? 0) < -SHORT_MM;
    if (short) {
      open ??= {
        bedId,
        fromMs: atMs,
        toMs: atMs,
        minutesBelowReserve: 0,
        minutesBelowDryLimit: 0,
        lowestStoreMm: store,
      };
      open.toMs = atMs + STEP_MS;
      open.minutesBelowReserve += STEP_MIN;
      if (store < 0) open.minutesBelowDryLimit += STEP_MIN;
      open.lowestStoreMm = Math.min(open.lowestStoreMm, store);
    } else if (open !== null) {
      if (open.minutesBelowReserve >= WORTH_NAMING_MIN) found.push(open);
      open = null;
    }
  }
  return found;
}

/** What stood in the way at most of the starts. */
function causeOf(
  shortage: ShortStretch,
  context: {
    obstructed: readonly ObstructedStart[];
    window: WaterWindow;
  },
): ShortageCause {
  const { obstructed, window } = context;
  const counts = new Map<string, { cause: StartObstruction; starts: number }>();
  for (const { bedId, atMs, by } of obstructed) {
    if (bedId !== shortage.bedId) continue;
    // A rest that was over before it began is no cause of it.
    const beforeMs = by.kind === 'rest' ? 0 : SAME_CAUSE_MS;
    if (atMs < shortage.fromMs - beforeMs || atMs >= shortage.toMs) continue;
    const key = JSON.stringify(by);
    counts.set(key, { cause: by, starts: (counts.get(key)?.starts ?? 0) + 1 });
  }
  const causes = [...counts.values()].sort((a, b) => b.starts - a.starts);
  // The hours are the cause of what begins outside them alone.
  const isAsTold = (cause: StartObstruction) =>
    cause.kind === 'before_hours'
      ? shortage.fromMs < window.firstStartMs
      : cause.kind !== 'day_over' || isOver(shortage, obstructed);
  const cause = causes.find((one) => isAsTold(one.cause))?.cause;
  if (cause === undefined) {
    return { kind: shortage.minutesBelowDryLimit === 0 ? 'reserve_only' : 'no_cycle_helps' };
  }
  if (cause.kind === 'before_hours') return { ...cause, firstStartMs: window.firstStartMs };
  if (cause.kind === 'day_over') return { ...cause, lastEndMs: window.lastEndMs };
  return cause;
}

/** Whether no cycle could have started from the beginning of a shortage on. */
function isOver({ bedId, fromMs }: ShortStretch, obstructed: readonly ObstructedStart[]): boolean {
  return obstructed.some(
    (one) => one.bedId === bedId && one.by.kind === 'day_over' && one.atMs <= fromMs + STEP_MS,
  );
}

/** What keeps one more cycle from a start in a finished day. */
export type StartObstruction = Obstacle | { kind: 'rest' } | { kind: 'before_hours' };

/** What stood at a start while, or shortly before, a bed was below its reserve. */
export interface ObstructedStart {
  bedId: string;
  atMs: number;
  by: StartObstruction;
}

/** Water that starts so long before a shortage would have been in time for it. */
const BEFORE_STEPS = 3;
/** A margin that comes down to nothing just as water arrives is the plan, not a shortage. */
const SHORT_MM = 1e-3;

/**
 * What stands in the way of a bed's smallest cycle at the starts around its shortages, beside all
 * cycles of the finished day, its own too. A start that is free gives nothing.
 */
export function obstructedStarts(layout: DayLayout, bed: LaidBed): ObstructedStart[] {
  const { balance, placing } = bed;
  const { grid } = balance;
  const { riskMarginMm } = seriesOf(balance);
  const { window, slotMs } = layout.input;
  const isShort = (step: number) =>
    (riskMarginMm[step] ?? 0) < -SHORT_MM &&
    grid.startMs + step * STEP_MS < (window.sunsetMs ?? window.lastEndMs);
  const found: ObstructedStart[] = [];
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

function causeAt(layout: DayLayout, bed: LaidBed, startMs: number): StartObstruction | null {
  const { input, timeline } = layout;
  const { window, limits } = input;
  const search: Search = { ...input, timeline };
  const dose = blockAt(bed.placing, search, startMs, 0);
  const endMs = startMs + dose.block.durationS * 1000;
  const restMs = limits.restMin * 60_000;
  if (startMs < window.firstStartMs) return { kind: 'before_hours' };
  if (endMs > window.lastEndMs) return { kind: 'day_over' };
  const inTheWay = findObstacle(bed.placing, search, { startMs, roomMm: 0, ...dose });
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
