import { seriesOf, totalMm } from './bed-balance.ts';
import { bedCost, dryByDayMin, drynessOf } from './bed-dryness.ts';
import { type BlockGround, blockOfTurns, isWithinCap, turnsLike } from './cycle-block.ts';
import {
  balanceWith,
  type DayLayout,
  keepsSupply,
  type LaidBed,
  type LaidBedCycle,
  putBack,
  takeOut,
  withCycles,
} from './day-layout.ts';
import { fillGaps, freeStarts, type SearchBudget, withOneMore } from './gap-filling.ts';
import { placementPass } from './placement-pass.ts';
import { shortStandstills } from './pump-rest.ts';
import type { PlacementBed } from './start-search.ts';

/** Beds looked at in one plan: each is planned a few times more. */
const MOST_BEDS = 3;
/** What drains takes feed along: five minutes less dry are not worth a flood (assumed). */
const LEAST_SAVED_MIN_PER_MM = 3;

/**
 * Serves beds that stay dry once more, in place, with several turns of their heads counted as one:
 * behind a long rest, or on sand that gives back what drains past its surface, fewer and deeper
 * doses can carry a bed further than many that each fit its room. So a head that turns faster serves
 * a bed no worse than a slow one would, unless the slow one's turn passes the cap of a dose. What
 * leaves the bed no less dry is put back.
 */
export function tryJoinedTurns(layout: DayLayout, tries: SearchBudget): void {
  for (const index of driestOf(layout)) {
    for (let turns = 2; ; turns *= 2) {
      const bed = layout.beds[index];
      if (bed === undefined || dryMinOf(layout, bed) === 0 || tries.most <= 0) break;
      if (!isWithinDose(turns, layout, bed)) break;
      const standstills = shortStandstills(layout.timeline);
      takeOut(layout, bed);
      const joined = servedInTurnsOf(turns, layout, bed, tries);
      const isKept =
        isBetter(layout, joined, bed) &&
        joined.cycles.every(({ block }) => isWithinCap(block, bed.placing.doseCapMm)) &&
        keepsSupply(layout, standstills);
      if (isKept) {
        layout.beds[index] = joined;
      } else {
        takeOut(layout, joined);
        putBack(layout, bed);
      }
    }
  }
}

/**
 * Whether the first is dry for less of the day, for no more of day and night together, and for enough
 * less to be worth what drains for it.
 */
function isBetter(layout: DayLayout, a: LaidBed, b: LaidBed): boolean {
  const { window } = layout.input;
  const inAll = ({ balance }: LaidBed) => drynessOf(balance, window).dryMin;
  const savedMin = dryMinOf(layout, b) - dryMinOf(layout, a);
  const moreMm = totalMm(seriesOf(a.balance).drainedMm) - totalMm(seriesOf(b.balance).drainedMm);
  return savedMin > 0 && savedMin >= LEAST_SAVED_MIN_PER_MM * moreMm && inAll(a) <= inAll(b);
}

/** Where the beds stand that are dry for longest, of equals the first. */
function driestOf(layout: DayLayout): number[] {
  return layout.beds
    .map((bed, at) => ({ at, dryMin: dryMinOf(layout, bed) }))
    .filter(({ dryMin }) => dryMin > 0)
    .sort((a, b) => b.dryMin - a.dryMin || a.at - b.at)
    .slice(0, MOST_BEDS)
    .map(({ at }) => at);
}

function dryMinOf({ input }: DayLayout, { balance }: LaidBed): number {
  return dryByDayMin(balance, input.window);
}

/** Whether so many turns are no more than one run and one dose may be. */
function isWithinDose(
  turns: number,
  { input }: DayLayout,
  { placing, freeFromMs }: LaidBed,
): boolean {
  const { stations, doseCapMm } = placing;
  if (stations.some((one) => turns * one.rotationS > input.limits.mostRunS)) return false;
  const ground = { stations, limits: input.limits, driftLossFraction: input.driftAt(freeFromMs) };
  return isWithinCap(blockOfTurns(ground, turnsLike(ground, turns)), doseCapMm);
}

/** The bed served among the others as they stand; its old cycles are out, its new ones in. */
function servedInTurnsOf(
  turns: number,
  { input, timeline }: DayLayout,
  bed: LaidBed,
  tries: SearchBudget,
): LaidBed {
  const stations = bed.placing.stations.map((one) => {
    return { ...one, rotationS: turns * one.rotationS };
  });
  const placing: PlacementBed = { ...bed.placing, stations };
  const alone = { ...input, beds: [placing] };
  const pass = placementPass(alone, timeline);
  const laid = pass.cycles.map((cycle) => ({ ...cycle, roomMm: 0, movedFor: null }));
  const balance = pass.balances[0] ?? bed.balance;
  const first = { ...bed, placing, cycles: laid, balance, cost: bedCost(balance, laid, input) };
  const day: DayLayout = { input: alone, timeline, beds: [first] };
  fillGaps(day, tries);
  const [served = first] = day.beds;
  const cycles = served.cycles.map((cycle) => {
    return { ...cycle, block: inSingleTurns(turns, cycle, { ...input, ...bed.placing }) };
  });
  return { ...served, placing: bed.placing, cycles };
}

/** The same runs, their turns counted one by one. */
function inSingleTurns(
  turns: number,
  { block, driftLossFraction }: LaidBed['cycles'][number],
  { stations, limits }: Pick<BlockGround, 'stations' | 'limits'>,
): LaidBed['cycles'][number]['block'] {
  const rotations = block.runs.map((run) => turns * run.rotations);
  return blockOfTurns({ stations, limits, driftLossFraction }, rotations);
}

/**
 * Where water is short, gives a dry bed a cycle in place of one that another bed can do without: no
 * bed goes without water while another is refilled, if the drier of the two is less dry for it, and
 * no minute is taken from one bed that does not save more on the other. The driest bed first.
 *
 * @returns True when anything has changed.
 */
export function shareWater(layout: DayLayout, tries: SearchBudget): boolean {
  let hasChanged = false;
  const inVain = new Set<number>();
  for (
    let at = driest(layout, inVain);
    at !== null && tries.most > 0;
    at = driest(layout, inVain)
  ) {
    if (takesFromOthers(layout, at, tries)) {
      hasChanged = true;
      inVain.clear();
    } else inVain.add(at);
  }
  return hasChanged;
}

function driest({ beds, input }: DayLayout, without: ReadonlySet<number>): number | null {
  const dry = beds
    .map((bed, at) => ({ at, id: bed.placing.bed.id, ...drynessOf(bed.balance, input.window) }))
    .filter(({ at, dryMin }) => dryMin > 0 && !without.has(at))
    .sort((a, b) => b.dryMin - a.dryMin || (a.id < b.id ? -1 : 1));
  return dry[0]?.at ?? null;
}

/** Gives the bed the first cycle of another that is worth more here, that of the least dry first. */
function takesFromOthers(layout: DayLayout, at: number, tries: SearchBudget): boolean {
  const { input } = layout;
  const taker = layout.beds[at];
  if (taker === undefined) return false;
  const dryMin = (bed: LaidBed) => drynessOf(bed.balance, input.window).dryMin;
  const takerMin = dryMin(taker);
  const givers = layout.beds
    .map((bed, index) => ({ bed, index, min: dryMin(bed) }))
    .filter(({ bed, index, min }) => index !== at && min < takerMin && bed.cycles.length > 1)
    .sort((a, b) => a.min - b.min || (a.bed.placing.bed.id < b.bed.placing.bed.id ? -1 : 1));
  for (const { bed: giver, index, min } of givers) {
    for (const cycle of giver.cycles) {
      if (tries.most <= 0) return false;
      const givenMin = dryMinWithout(layout, giver, cycle);
      if (givenMin >= takerMin) continue;
      const standstills = shortStandstills(layout.timeline);
      takeOut(layout, { ...giver, cycles: [cycle] });
      const endMs = cycle.startMs + cycle.block.durationS * 1000;
      const free = freeStarts(layout, taker, tries, [{ startMs: cycle.startMs, endMs }]);
      const taken = withOneMore(layout, taker, free);
      if (taken !== null) {
        const takenMin = dryMin(taken);
        const isFairer = taker.cycles.length === 0 && Math.max(takenMin, givenMin) < takerMin;
        const isLess = takenMin + givenMin < takerMin + min;
        if ((isFairer || isLess) && shortStandstills(layout.timeline) <= standstills) {
          const rest = giver.cycles.filter((one) => one !== cycle);
          layout.beds[index] = withCycles(layout, giver, rest);
          layout.beds[at] = taken;
          return true;
        }
        takeOut(layout, taken);
        putBack(layout, taker);
      }
      putBack(layout, { ...giver, cycles: [cycle] });
    }
  }
  return false;
}

/** What was worked out of a bed as it is laid stays true: it is never changed, only replaced. */
const dryMinsWithout = new WeakMap<LaidBed, Map<LaidBedCycle, number>>();

/** For how long a bed would be dry without one of its cycles, minutes. */
function dryMinWithout({ input }: DayLayout, bed: LaidBed, cycle: LaidBedCycle): number {
  const known = dryMinsWithout.get(bed) ?? new Map<LaidBedCycle, number>();
  dryMinsWithout.set(bed, known);
  const standing = known.get(cycle);
  if (standing !== undefined) return standing;
  const rest = bed.cycles.filter((one) => one !== cycle);
  const { dryMin } = drynessOf(balanceWith(bed, rest), input.window);
  known.set(cycle, dryMin);
  return dryMin;
}
