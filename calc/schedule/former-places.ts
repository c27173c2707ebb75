import { type PlacementCost, sumOfCosts } from './bed-dryness.ts';
import { blockOfTurns, isWithinCap } from './cycle-block.ts';
import {
  type DayLayout,
  keepsSupply,
  type LaidBed,
  type LaidBedCycle,
  layAnew,
  putBack,
  takeOut,
  withCycles,
} from './day-layout.ts';
import { improve, MOST_PATHS, pathsOf } from './improved-placement.ts';
import { shortStandstills } from './pump-rest.ts';
import { findObstacle, type Search } from './start-search.ts';

/** A cycle of the plan in force that is still to come. */
export interface FormerCycle {
  bedId: string;
  startMs: number;
  /** Whole turns of each of its stations. */
  runs: readonly { stationId: string; rotations: number }[];
}

/** Less than this may drain more in a cycle: no rotation is known that well. */
const WORTH_NOTHING_MM = 0.02;
/** A bed that could do with this many cycles less is no reason to move all of them. */
const WORTH_NO_MOVE_CYCLES = 1;
/** Nor are so many minutes below the reserve, which only eat into the margin. */
const WORTH_NO_MOVE_MIN = 15;
/** A bed may find its former place free only once another has gone back to its own. */
const PASSES = 2;

/**
 * Puts beds back to where the plan in force has their cycles, wherever that serves them no worse:
 * people have read that plan and arranged their day around it. The whole day where it is less dry so,
 * else all beds at once if that goes, else bed by bed, in order of their ids.
 *
 * @param settle Gives beds of such a day what still fits, before it is held against the one anew.
 */
export function keepFormerPlaces(
  layout: DayLayout,
  former: readonly FormerCycle[],
  settle: (layout: DayLayout) => void,
): void {
  if (former.length === 0 || restoreWholeDay(layout, former, settle)) return;
  const indices = layout.beds
    .map((bed, index) => ({ id: bed.placing.bed.id, index }))
    .sort((a, b) => (a.id < b.id ? -1 : 1))
    .map(({ index }) => index);
  if (restorePlaces(layout, former, indices, settle)) return;
  for (let pass = 0; pass < PASSES; pass++) {
    for (const index of indices) restorePlaces(layout, former, [index]);
  }
}

/**
 * Puts the beds back; those that their former places serve worse find new ones among them. Leaves
 * all as it was when the whole would be drier, or noticeably longer below its reserve.
 */
function restorePlaces(
  layout: DayLayout,
  former: readonly FormerCycle[],
  indices: readonly number[],
  settle: (layout: DayLayout) => void = () => {},
): boolean {
  const before = indices.flatMap((index) => layout.beds[index] ?? []);
  const standstills = shortStandstills(layout.timeline);
  for (const bed of before) takeOut(layout, bed);
  const asFormer = before.map((bed) => laidAsFormer(layout, bed, former));
  const paths = before.reduce(
    (sum, bed, place) => sum + (asFormer[place] === null ? pathsOf(bed.balance) : 0),
    0,
  );
  if (paths > MOST_PATHS) {
    for (const laid of asFormer) if (laid !== null) takeOut(layout, laid);
    for (const bed of before) putBack(layout, bed);
    return false;
  }
  const costOf = (beds: readonly LaidBed[]) => sumOfCosts(beds.map((bed) => bed.cost));
  const all = [...layout.beds];
  for (const [place, index] of indices.entries()) {
    const bed = before[place] as LaidBed;
    layout.beds[index] = asFormer[place] ?? layAnew(layout, bed);
  }
  const isGood = () =>
    isNoWorse(costOf(layout.beds), costOf(all), layout.beds.length) &&
    keepsSupply(layout, standstills);
  if (asFormer.some((laid) => laid !== null)) {
    settle(layout);
    if (isGood()) return true;
    // A bed that lost its place may need a neighbour to give way.
    if (paths > 0) improve(layout, MOST_PATHS - paths);
    if (isGood()) return true;
  }
  for (const bed of layout.beds) takeOut(layout, bed);
  for (const bed of all) putBack(layout, bed);
  layout.beds = all;
  return false;
}

/** Whether beds fare so well that their places are worth keeping: not drier, hardly less in reserve. */
function isNoWorse(former: PlacementCost, anew: PlacementCost, beds: number): boolean {
  if (former.minutesBelowDryLimit !== anew.minutesBelowDryLimit) {
    return former.minutesBelowDryLimit < anew.minutesBelowDryLimit;
  }
  return former.minutesBelowReserve <= anew.minutesBelowReserve + beds * WORTH_NO_MOVE_MIN;
}

/** The bed with its former cycles, booked; null, and nothing booked, when that serves it worse. */
function laidAsFormer(
  layout: DayLayout,
  bed: LaidBed,
  former: readonly FormerCycle[],
): LaidBed | null {
  const { input, timeline } = layout;
  const search: Search = { ...input, timeline };
  const wanted = formerCyclesOf(layout, bed, former);
  if (wanted === null) return null;
  const cycles: LaidBedCycle[] = [];
  const giveUp = () => {
    takeOut(layout, { ...bed, cycles });
    return null;
  };
  for (const cycle of wanted) {
    if (findObstacle(bed.placing, search, cycle) !== null) return giveUp();
    putBack(layout, { ...bed, cycles: [cycle] });
    cycles.push(cycle);
  }
  const laid = withCycles(layout, bed, cycles);
  const drained = (of: readonly LaidBedCycle[]) => of.reduce((sum, one) => sum + one.drainedMm, 0);
  const isWorse =
    !isNoWorse(laid.cost, bed.cost, 1) ||
    laid.cost.cycles > bed.cost.cycles + WORTH_NO_MOVE_CYCLES ||
    drained(laid.cycles) > drained(bed.cycles) + WORTH_NOTHING_MM * cycles.length;
  return isWorse ? giveUp() : laid;
}

/**
 * Puts the whole day back to the plan in force, with what still fits, where that leaves beds dry for
 * less time than the day anew: a search that begins elsewhere may end worse, and whoever relaxes a
 * limit must not find beds drier for it. All as it was, and false, where it does not.
 */
function restoreWholeDay(
  layout: DayLayout,
  former: readonly FormerCycle[],
  settle: (layout: DayLayout) => void,
): boolean {
  const all = [...layout.beds];
  const dryMin = () => sumOfCosts(layout.beds.map((bed) => bed.cost)).minutesBelowDryLimit;
  const anewMin = dryMin();
  const wanted = all.map((bed) => formerCyclesOf(layout, bed, former));
  if (anewMin === 0 || wanted.includes(null)) return false;
  const standstills = shortStandstills(layout.timeline);
  for (const bed of all) takeOut(layout, bed);
  if (bookedInTime(layout, wanted)) {
    layout.beds = all.map((bed, at) => withCycles(layout, bed, wanted[at] ?? []));
    settle(layout);
    if (keepsSupply(layout, standstills) && dryMin() < anewMin) return true;
    for (const bed of layout.beds) takeOut(layout, bed);
  }
  for (const bed of all) putBack(layout, bed);
  layout.beds = all;
  return false;
}

/** Books the beds' cycles in order of time, as the pump met them; false, and nothing, where one has no place. */
function bookedInTime(layout: DayLayout, cycles: readonly (LaidBedCycle[] | null)[]): boolean {
  const search: Search = { ...layout.input, timeline: layout.timeline };
  const booked: LaidBed[] = [];
  const inTime = layout.beds
    .flatMap((bed, at) => (cycles[at] ?? []).map((cycle) => ({ bed, cycle })))
    .sort((a, b) => a.cycle.startMs - b.cycle.startMs);
  for (const { bed, cycle } of inTime) {
    if (findObstacle(bed.placing, search, cycle) !== null) {
      for (const one of booked) takeOut(layout, one);
      return false;
    }
    const alone = { ...bed, cycles: [cycle] };
    putBack(layout, alone);
    booked.push(alone);
  }
  return true;
}

/** A bed's cycles as the plan in force has them; null where its doses, hours or rest forbid one. */
function formerCyclesOf(
  { input }: DayLayout,
  { placing, freeFromMs }: LaidBed,
  former: readonly FormerCycle[],
): LaidBedCycle[] | null {
  const { limits, window } = input;
  const { stations, doseCapMm, bed } = placing;
  const cycles: LaidBedCycle[] = [];
  let freeMs = Math.max(freeFromMs, window.firstStartMs);
  const wanted = former
    .filter(({ bedId, startMs }) => bedId === bed.id && startMs >= freeFromMs)
    .sort((a, b) => a.startMs - b.startMs);
  for (const { startMs, runs } of wanted) {
    const turns = stations.map(
      ({ id }) => runs.find((run) => run.stationId === id)?.rotations ?? 0,
    );
    const driftLossFraction = input.driftAt(startMs);
    const block = blockOfTurns({ stations, driftLossFraction, limits }, turns);
    const endMs = startMs + block.durationS * 1000;
    const isAllowed =
      block.runs.every(({ rotations }, at) => rotations === turns[at]) &&
      isWithinCap(block, doseCapMm) &&
      startMs >= freeMs &&
      endMs <= window.lastEndMs;
    if (!isAllowed) return null;
    cycles.push({
      startMs,
      roomMm: 0,
      driftLossFraction,
      block,
      drainedMm: 0,
      movedFor: 'former',
    });
    freeMs = endMs + limits.restMin * 60_000;
  }
  return cycles;
}
