import { type BedBalance, bookWater, copyBalance, seriesOf } from './bed-balance.ts';
import { firstAtRiskMs, roomAt } from './bed-moisture.ts';
import { stationWaterOf } from './cycle-block.ts';
import type { DayLayout, LaidBed, LaidBedCycle } from './day-layout.ts';
import type { Reason } from './day-plan.ts';
import { STEP_MS } from './demand.ts';
import type { PlacedCycle, PlacementInput } from './placement-pass.ts';
import type { KeepOff, KeepOffCause } from './site.ts';
import { ceilToSlot, findObstacle, floorToSlot, type Search } from './start-search.ts';
import { bookSupply, type SupplyTimeline, supplyLoad, unbookSupply } from './supply-timeline.ts';

const WORTH_SAYING_MM = 0.05;
/** A minute more or less is the grid of starts, and no news. */
const WORTH_SAYING_MIN = 2;
const MIN_MS = 60_000;

/** A cycle of a finished day with what has to be known to tell why it stands where it does. */
interface CycleContext {
  layout: DayLayout;
  bed: LaidBed;
  index: number;
  cycle: LaidBedCycle;
  need: CycleNeed;
  /** From when on the bed has rested. */
  freeMs: number;
}

/**
 * The bed's cycles with their reasons, told from the finished day: what the bed needed by when, and
 * what stood at the starts between that and its place. What cannot be seen there is not said.
 */
export function cyclesWithReasons(layout: DayLayout, bed: LaidBed): PlacedCycle[] {
  const { input, timeline } = layout;
  const balance = copyBalance(bed.placing.balance);
  const restMs = input.limits.restMin * MIN_MS;
  let freeMs = bed.freeFromMs;
  return bed.cycles.map((cycle, index) => {
    const { startMs, block, driftLossFraction, drainedMm } = cycle;
    const endMs = startMs + block.durationS * 1000;
    const roomMm = roomAt(balance, startMs);
    const isRested = index > 0 || bed.freeFromMs > input.startMs;
    const need = cycleNeed({ input, bed, index, balance, freeMs, isRested });
    const load = supplyLoad(timeline, block);
    unbookSupply(timeline, load, startMs);
    const reasons = [
      ...timingReasons({ layout, bed, index, cycle, need, freeMs }),
      ...doseReasons(bed, { ...cycle, roomMm }),
    ];
    bookSupply(timeline, load, startMs);
    bookWater(balance, stationWaterOf(block, startMs));
    freeMs = endMs + restMs;
    const { wantedMs } = need;
    const bedId = bed.placing.bed.id;
    return { bedId, startMs, block, driftLossFraction, drainedMm, wantedMs, reasons };
  });
}

/** Its own need first, then what keeps it from the latest start that would be safe. */
function timingReasons(standing: CycleContext): Reason[] {
  const { cycle, need, freeMs, bed } = standing;
  if (need.wantedMs === null) {
    const { leastCycles = 0 } = bed.placing;
    if (leastCycles > 0) return [{ code: 'least_cycles', cycles: leastCycles }];
    return need.why === null ? [] : [need.why];
  }
  const min = Math.round((cycle.startMs - need.wantedMs) / MIN_MS);
  const moved =
    min >= WORTH_SAYING_MIN
      ? laterReason(standing, need.wantedMs, min)
      : -min >= WORTH_SAYING_MIN
        ? earlierReason(standing, need.wantedMs, -min)
        : null;
  const isAtOnce = cycle.startMs <= freeMs + WORTH_SAYING_MIN * MIN_MS;
  const why = need.rested !== null && (isAtOnce || moved !== null) ? need.rested : need.why;
  return [...(why === null ? [] : [why]), ...(moved === null ? [] : [moved])];
}

/** What stood at every start from the wanted one to the cycle's; null where one was free. */
function laterReason(standing: CycleContext, wantedMs: number, minutes: number): Reason | null {
  const by = obstaclesBetween(standing, wantedMs, standing.cycle.startMs)?.first;
  if (by === undefined) return null;
  if (by.kind === 'keep_off') {
    return { code: 'after_keep_off', ...by.off, endMs: by.endMs };
  }
  return { code: 'later_for_supply', limit: by, minutes };
}

function earlierReason(standing: CycleContext, wantedMs: number, minutes: number): Reason | null {
  const { layout, bed, index, cycle } = standing;
  const { isWindyAt } = layout.input;
  if (cycle.movedFor === 'former') return { code: 'earlier_as_before', minutes };
  if (isWindyAt?.(wantedMs) === true && !isWindyAt(cycle.startMs)) {
    return { code: 'earlier_for_lull', minutes };
  }
  const by = obstaclesBetween(standing, cycle.startMs + layout.input.slotMs, wantedMs + 1)?.last;
  const endMs = cycle.startMs + cycle.block.durationS * 1000;
  if (by?.kind === 'keep_off') {
    const off = bed.placing.keepOffs.find((one) => isSameKeepOff(by, one));
    if (off !== undefined && endMs <= off.startMs) {
      return { code: 'before_keep_off', ...by.off, startMs: off.startMs };
    }
  } else if (by !== undefined) return { code: 'earlier_for_supply', limit: by, minutes };
  if (
    cycle.movedFor === 'level' &&
    drawsLess(layout, bed, cycle, cycle.startMs + minutes * MIN_MS)
  ) {
    return { code: 'earlier_to_level', minutes };
  }
  // Only a cycle that others follow can have made room for them.
  return index < bed.cycles.length - 1 ? { code: 'earlier_for_day', minutes } : null;
}

/** Whether a keep-off is the one that stood in the way. */
function isSameKeepOff(
  { off, endMs }: { off: KeepOffCause; endMs: number },
  one: KeepOff,
): boolean {
  return one.endMs === endMs && one.why === off.why && one.kind === off.kind;
}

type StartObstacle = NonNullable<ReturnType<typeof findObstacle>>['by'];
type NamedObstacle = Exclude<StartObstacle, { kind: 'day_over' }>;

/**
 * What stood in the way of the same cycle at the first and at the last start of a stretch, where
 * something did at every one; null where a start was free.
 */
function obstaclesBetween(
  { layout, bed, cycle }: CycleContext,
  fromMs: number,
  toMs: number,
): { first: NamedObstacle; last: NamedObstacle } | null {
  const { input, timeline } = layout;
  const { slotMs, window } = input;
  const search: Search = { ...input, timeline };
  const load = supplyLoad(timeline, cycle.block);
  let first: NamedObstacle | null = null;
  let last: NamedObstacle | null = null;
  for (let startMs = Math.ceil(fromMs / slotMs) * slotMs; startMs < toMs; startMs += slotMs) {
    if (startMs + load.durationMs > window.lastEndMs) continue;
    const by = findObstacle(bed.placing, search, { ...cycle, startMs }, load)?.by;
    if (by === undefined || by.kind === 'day_over') return null;
    first ??= by;
    last = by;
  }
  return first === null || last === null ? null : { first, last };
}

/** Whether the others draw less while the cycle runs than they would at the start wanted. */
function drawsLess(
  layout: DayLayout,
  bed: LaidBed,
  cycle: LaidBedCycle,
  wantedMs: number,
): boolean {
  const { timeline } = layout;
  const lastsMs = cycle.block.durationS * 1000;
  const ownL = (startMs: number) =>
    bed.cycles
      .filter((one) => one !== cycle)
      .reduce((sum, one) => sum + sharedL(one, startMs, startMs + lastsMs), 0);
  const othersL = (startMs: number) => drawnL(timeline, startMs, startMs + lastsMs) - ownL(startMs);
  return othersL(cycle.startMs) < othersL(wantedMs) - LEAST_GAIN_L;
}

/** Less is no difference that a person would see. */
const LEAST_GAIN_L = 1;

function sharedL({ startMs, block }: LaidBedCycle, fromMs: number, toMs: number): number {
  return block.runs.reduce((sum, run) => {
    const beginMs = startMs + run.offsetS * 1000;
    const sharedMs = Math.min(beginMs + run.runS * 1000, toMs) - Math.max(beginMs, fromMs);
    return sum + (run.station.flowLPerMin * Math.max(0, sharedMs)) / MIN_MS;
  }, 0);
}

/** What the pump gives between two instants, L. */
function drawnL({ pump, startMs, slotMs }: SupplyTimeline, fromMs: number, toMs: number): number {
  let litres = 0;
  const first = Math.floor((fromMs - startMs) / slotMs);
  for (let slot = first; startMs + slot * slotMs < toMs; slot++) {
    const edges = pump.edges.get(slot) ?? [];
    const slotFromMs = startMs + slot * slotMs;
    const within = (beginMs: number, endMs: number) =>
      Math.max(
        0,
        Math.min(endMs, toMs, slotFromMs + slotMs) - Math.max(beginMs, fromMs, slotFromMs),
      );
    const whole =
      (pump.bookedLPerMin[slot] ?? 0) - edges.reduce((sum, run) => sum + run.flowLPerMin, 0);
    litres += (whole * within(slotFromMs, slotFromMs + slotMs)) / MIN_MS;
    for (const run of edges) {
      litres += (run.flowLPerMin * within(run.startMs, run.endMs)) / MIN_MS;
    }
  }
  return litres;
}

/** What makes a dose other than the room that the store has. */
function doseReasons({ placing }: LaidBed, cycle: LaidBedCycle): Reason[] {
  const { block, roomMm, drainedMm } = cycle;
  if (placing.stations.some((one) => one.runTimeMultiplierFraction > 1)) {
    return [{ code: 'for_driest', wasteMm: drainedMm }];
  }
  if (block.netMm > roomMm + WORTH_SAYING_MM && drainedMm > WORTH_SAYING_MM) {
    return [{ code: 'rotation_exceeds_store', wasteMm: drainedMm }];
  }
  return roomMm > placing.doseCapMm ? [{ code: 'held_at_cap', capMm: placing.doseCapMm }] : [];
}

/** What a cycle of a finished day is needed for. */
interface CycleNeed {
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
  const atMs = firstAtRiskMs(balance, freeMs);
  if (atMs === null) return nothing;
  const atRisk: Reason = { code: 'store_at_reserve', atMs };
  // Tomorrow's first water would be in time: it is none that this day has to carry over.
  if (atMs >= window.nextFirstStartMs) return { ...nothing, why: atRisk };
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
      : { why: atRisk, rested: null, wantedMs: null };
  }
  const wantedMs = latest(dueMs);
  // A bed that is at its reserve already as it comes off its rest, or as the day opens, waited for that.
  if (dueMs >= openMs && atMs > freeMs) return { why: atRisk, rested: null, wantedMs };
  const isFirst = index === 0 && openMs === window.firstStartMs && hadNone(input, bed);
  const restMin = limits.restMin;
  return {
    why: isFirst ? { code: 'first_of_day' } : atRisk,
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
  const { grid, demand } = balance;
  const { marginMm } = seriesOf(balance);
  if (index !== cycles.length - 1) return false;
  const first = Math.floor(((cycles[index]?.startMs ?? 0) - grid.startMs) / STEP_MS);
  if ((marginMm[first] ?? 0) < -DRY_MM) return false;
  for (let step = first + 1; grid.startMs + step * STEP_MS < untilMs; step++) {
    if ((marginMm[step] ?? 0) < -DRY_MM && (demand.demandMm[step] ?? 0) > 0) return false;
  }
  return true;
}

const DRY_MM = 1e-6;
