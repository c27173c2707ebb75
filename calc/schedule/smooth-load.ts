import { isDryLonger } from './bed-dryness.ts';
import { roomAt } from './bed-moisture.ts';
import { isWithinCap } from './cycle-block.ts';
import {
  type DayLayout,
  type LaidBed,
  type LaidBedCycle,
  putBack,
  takeOut,
  withCycles,
} from './day-layout.ts';
import { shortStandstills } from './pump-rest.ts';
import { ceilToSlot, findObstacle, type Search } from './start-search.ts';
import {
  bookSupply,
  type SupplyLoad,
  type SupplyTimeline,
  supplyConflict,
  supplyLoad,
  unbookSupply,
} from './supply-timeline.ts';

/**
 * Spreads the cycles so that one bed drinks while the others rest: each cycle may begin earlier
 * while its dose has room, and goes where the pump has least to do. No dose changes, so no cycle is
 * added; a bed that would fare worse keeps its cycles.
 *
 * Cycles are looked at in order of time, of equal times by bed id.
 */
export function smoothLoad(layout: DayLayout): void {
  const standstills = shortStandstills(layout.timeline);
  const moved = layout.beds.map((bed) => [...bed.cycles]);
  const order = layout.beds
    .flatMap((bed, at) =>
      bed.cycles.map((cycle, index) => ({ bed, at, index, startMs: cycle.startMs })),
    )
    .sort((a, b) => a.startMs - b.startMs || (idOf(a.bed) < idOf(b.bed) ? -1 : 1));
  for (const { bed, at, index } of order) {
    const own = moved[at];
    if (own !== undefined) own[index] = levelled(layout, bed, own, index);
  }
  const after = layout.beds.map((bed, at) => withMoved(layout, bed, moved[at] ?? []));
  for (const [at, cycles] of moved.entries()) {
    const bed = layout.beds[at];
    if (bed === undefined || after[at] !== null) continue;
    for (const one of cycles) unbook(layout, one);
    const isFitting = fits(layout, bed);
    putBack(layout, bed);
    if (!isFitting || shortStandstills(layout.timeline) > standstills) {
      takeOut(layout, bed);
      restore(layout, moved, at);
      return;
    }
    moved[at] = bed.cycles;
  }
  layout.beds = layout.beds.map((bed, at) => after[at] ?? bed);
}

/** All as it was: another bed has moved into the place of one that has to go back. */
function restore(layout: DayLayout, moved: readonly LaidBedCycle[][], isOut: number): void {
  for (const [at, cycles] of moved.entries()) {
    if (at !== isOut) for (const one of cycles) unbook(layout, one);
  }
  for (const bed of layout.beds) putBack(layout, bed);
}

function unbook({ timeline }: DayLayout, { block, startMs }: LaidBedCycle): void {
  unbookSupply(timeline, supplyLoad(timeline, block), startMs);
}

function fits({ timeline }: DayLayout, bed: LaidBed): boolean {
  return bed.cycles.every(
    ({ block, startMs }) => supplyConflict(timeline, supplyLoad(timeline, block), startMs) === null,
  );
}

function idOf(bed: LaidBed): string {
  return bed.placing.bed.id;
}

/** The cycle at the start where the pump has least to do, booked there. */
function levelled(
  { input, timeline }: DayLayout,
  bed: LaidBed,
  moved: readonly LaidBedCycle[],
  index: number,
): LaidBedCycle {
  const { slotMs } = input;
  const cycle = bed.cycles[index] as LaidBedCycle;
  const { startMs, block } = cycle;
  const before = moved[index - 1];
  const beforeEndMs = before === undefined ? 0 : before.startMs + before.block.durationS * 1000;
  const freeMs =
    before === undefined
      ? Math.max(bed.freeFromMs, input.window.firstStartMs)
      : beforeEndMs + input.limits.restMin * 60_000;
  // The balance has the water of the one before at its old place: until then it counts on top.
  const was = bed.cycles[index - 1];
  const wasMs = was === undefined ? 0 : was.startMs + was.block.durationS * 1000;
  const roomMm = (tryMs: number) =>
    roomAt(bed.balance, tryMs) - (tryMs < wasMs ? (before?.block.levelMm ?? 0) : 0);

  const load = supplyLoad(timeline, block);
  const standstills = shortStandstills(timeline);
  const search: Search = { ...input, timeline };
  unbookSupply(timeline, load, startMs);
  let best = cycle;
  let bestFlow = flowUnder(timeline, load, startMs);
  let isBestWindy = input.isWindyAt?.(startMs) ?? false;
  for (let tryMs = startMs - slotMs; tryMs >= ceilToSlot(freeMs, slotMs); tryMs -= slotMs) {
    const tried = cycleAt(cycle, tryMs, input.driftAt(tryMs));
    const overMm = tried.block.levelMm - roomMm(tryMs);
    if (overMm > tried.block.netMm / 10) break;
    const isDoseAlike = tried.driftLossFraction === cycle.driftLossFraction;
    if (overMm > (isDoseAlike ? 1e-9 : WORTH_NOTHING_MM)) continue;
    if (tried.block.netMm < block.netMm * LEAST_NET_FRACTION) continue;
    if (!isWithinCap(tried.block, bed.placing.doseCapMm)) continue;
    const isWindy = input.isWindyAt?.(tryMs) ?? false;
    const flow = flowUnder(timeline, load, tryMs);
    const isLull = isBestWindy && !isWindy;
    if (isWindy && !isBestWindy) continue;
    if (!isLull && flow > bestFlow - LEAST_GAIN_L_PER_MIN) continue;
    if (findObstacle(bed.placing, search, tried, load) !== null) continue;
    best = { ...tried, movedFor: isLull || best.movedFor === 'lull' ? 'lull' : 'level' };
    bestFlow = flow;
    isBestWindy = isWindy;
  }
  bookSupply(timeline, load, best.startMs);
  if (shortStandstills(timeline) <= standstills) return best;
  // The runs on both sides of its old place would stand too close without it.
  unbookSupply(timeline, load, best.startMs);
  bookSupply(timeline, load, startMs);
  return cycle;
}

/** Less than this may drain: no rotation is known that well. */
const WORTH_NOTHING_MM = 0.02;
/** Moved into drier air a dose brings a little less: no more less than this. */
const LEAST_NET_FRACTION = 0.97;

/** The same runs at another start, with what reaches the ground there. */
function cycleAt(cycle: LaidBedCycle, startMs: number, driftLossFraction: number): LaidBedCycle {
  if (driftLossFraction === cycle.driftLossFraction) return { ...cycle, startMs };
  const { block } = cycle;
  const net = (grossMm: number) => grossMm * (1 - driftLossFraction);
  return {
    ...cycle,
    startMs,
    driftLossFraction,
    block: {
      ...block,
      netMm: net(block.grossMm),
      levelMm: (block.levelMm * (1 - driftLossFraction)) / (1 - cycle.driftLossFraction),
      runs: block.runs.map((run) => ({ ...run, netMm: net(run.grossMm) })),
    },
  };
}

/** Moving for less is not worth a reason. */
const LEAST_GAIN_L_PER_MIN = 1;

/** What the pump gives others around a start, L/min in the mean. */
function flowUnder(timeline: SupplyTimeline, load: SupplyLoad, startMs: number): number {
  const first = Math.floor((startMs - timeline.startMs) / timeline.slotMs);
  const asked = load.tracks.find(({ track }) => track === timeline.pump)?.askedLPerMin;
  const slots = asked?.length ?? 0;
  // The slots beside count as well: the pump should neither stop nor jump between two cycles.
  let sum = 0;
  for (let slot = -slots; slot < 2 * slots; slot++) {
    const weight = slot >= 0 && slot < slots ? 2 : 1;
    sum += weight * (timeline.pump.bookedLPerMin[first + slot] ?? 0);
  }
  return sum / (4 * Math.max(1, slots));
}

/** The bed with its cycles so; null when it would be short for longer, or waste. */
function withMoved(
  layout: DayLayout,
  bed: LaidBed,
  placed: readonly LaidBedCycle[],
): LaidBed | null {
  if (placed.every((cycle, index) => cycle === bed.cycles[index])) return bed;
  const laid = withCycles(layout, bed, placed);
  const drained = (of: LaidBed['cycles']) => of.reduce((sum, cycle) => sum + cycle.drainedMm, 0);
  const isWorse =
    isDryLonger(laid.cost, bed.cost) ||
    drained(laid.cycles) > drained(bed.cycles) + WORTH_NOTHING_MM * placed.length;
  return isWorse ? null : laid;
}
