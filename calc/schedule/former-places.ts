import { bookWater, copyBalance } from './bed-balance.ts';
import { blockOfTurns, waterOf } from './cycle-block.ts';
import {
  type DayLayout,
  type LaidBed,
  type LaidBedCycle,
  layAnew,
  putBack,
  takeOut,
} from './day-layout.ts';
import { improve, MOST_PATHS, pathsOf } from './improved-placement.ts';
import { bedCost, type PlacementCost, sumOfCosts } from './placement-cost.ts';
import { shortStandstills } from './pump-rest.ts';
import { type Search, standsInTheWay } from './start-search.ts';
import { bookSupply, supplyLoad, unbookSupply } from './supply-timeline.ts';

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
 * people have read that plan and arranged their day around it. All beds at once if that goes, else
 * bed by bed, in order of their ids.
 *
 * @param settle Gives beds of such a day what still fits, before it is held against the one anew.
 */
export function keepPlaces(
  layout: DayLayout,
  former: readonly FormerCycle[],
  settle: (layout: DayLayout) => void,
): void {
  if (former.length === 0) return;
  const indices = layout.beds
    .map((bed, index) => ({ id: bed.placing.bed.id, index }))
    .sort((a, b) => (a.id < b.id ? -1 : 1))
    .map(({ index }) => index);
  if (goBack(layout, former, indices, settle)) return;
  for (let pass = 0; pass < PASSES; pass++) {
    for (const index of indices) goBack(layout, former, [index]);
  }
}

/**
 * Puts the beds back; those that their former places serve worse find new ones among them. Leaves
 * all as it was when the whole would be drier, or noticeably longer below its reserve.
 */
function goBack(
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
    layout.timeline.water.bookedL <= layout.timeline.water.allowedL + 1e-6 &&
    shortStandstills(layout.timeline) <= standstills;
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
  const { limits, window } = input;
  const search: Search = { ...input, timeline };
  const wanted = former
    .filter(({ bedId, startMs }) => bedId === bed.placing.bed.id && startMs >= bed.freeFromMs)
    .sort((a, b) => a.startMs - b.startMs);
  const balance = copyBalance(bed.placing.balance);
  const cycles: LaidBedCycle[] = [];
  const giveUp = () => {
    for (const { block, startMs } of cycles) {
      unbookSupply(timeline, supplyLoad(timeline, block), startMs);
    }
    return null;
  };
  let freeMs = Math.max(bed.freeFromMs, window.firstStartMs);
  const { stations, doseCapMm } = bed.placing;
  for (const { startMs, runs } of wanted) {
    const turns = stations.map(
      ({ id }) => runs.find((run) => run.stationId === id)?.rotations ?? 0,
    );
    const driftLossFraction = input.driftAt(startMs);
    const block = blockOfTurns({ stations, driftLossFraction, limits }, turns);
    const cycle = { startMs, roomMm: 0, driftLossFraction, block };
    const endMs = startMs + block.durationS * 1000;
    const isAllowed =
      block.runs.every(
        ({ station, rotations, netMm }, at) =>
          rotations === turns[at] &&
          (rotations === 1 || netMm <= doseCapMm * station.runTimeMultiplierFraction + 1e-9),
      ) &&
      startMs >= freeMs &&
      endMs <= window.lastEndMs &&
      standsInTheWay(bed.placing, search, cycle) === null;
    if (!isAllowed) return giveUp();
    bookSupply(timeline, supplyLoad(timeline, block), startMs);
    const drainedMm = bookWater(balance, waterOf(block, startMs));
    cycles.push({ ...cycle, drainedMm, movedFor: 'former' });
    freeMs = endMs + limits.restMin * 60_000;
  }
  const cost = bedCost(balance, cycles, input);
  const drained = (of: readonly LaidBedCycle[]) => of.reduce((sum, one) => sum + one.drainedMm, 0);
  const isWorse =
    !isNoWorse(cost, bed.cost, 1) ||
    cost.cycles > bed.cost.cycles + WORTH_NO_MOVE_CYCLES ||
    drained(cycles) > drained(bed.cycles) + WORTH_NOTHING_MM * cycles.length;
  if (isWorse) return giveUp();
  return { ...bed, cycles, balance, cost };
}
