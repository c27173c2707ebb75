import type { BedBalance } from './bed-balance.ts';
import { isCheaper, sumOfCosts } from './bed-dryness.ts';
import {
  aloneMinutes,
  type DayLayout,
  keepsSupply,
  type LaidBed,
  layAnew,
  layoutOf,
  putBack,
  takeOut,
} from './day-layout.ts';
import type { PassResult, PlacementInput } from './placement-pass.ts';
import { shortStandstills } from './pump-rest.ts';

/** Beds laid anew at most in one plan; each takes some milliseconds. */
export const MOST_PATHS = 24;
/** A bed whose path is a proposal only counts for more: it takes longer and gains less. */
const PROPOSAL_COUNTS_FOR = 12;

/**
 * The placement with its short beds laid anew: a bed by itself among the others as they stand, then
 * together with one or two of those that drink before its trouble. What makes the whole no better
 * is put back. A bed that would be as short with the supply all to itself is let be.
 *
 * @param mostPaths Beds laid anew at most.
 */
export function improvedPlacement(
  input: PlacementInput,
  first: PassResult,
  mostPaths: number = MOST_PATHS,
): DayLayout {
  const layout = layoutOf(input, first);
  improve(layout, mostPaths);
  return layout;
}

/** Lays short beds of a layout anew, in place, at most so many. */
export function improve(layout: DayLayout, mostPaths: number): void {
  const hopeless = new Set<number>();
  let paths = 0;
  for (let worst = worstShort(layout, hopeless); worst !== null && paths < mostPaths; ) {
    const bed = layout.beds[worst];
    if (bed === undefined) break;
    paths += pathsOf(bed.balance);
    let better = false;
    if (bed.cost.minutesBelowReserve > aloneMinutes(layout, bed)) {
      for (const group of groupsAround(layout, worst)) {
        if (paths >= mostPaths) break;
        paths += bedsOf(layout, group).reduce((sum, one) => sum + pathsOf(one.balance), 0);
        better = laidBetter(layout, group);
        if (better) break;
      }
    }
    // Once a neighbour has moved, what was hopeless may be worth another look.
    if (better) hopeless.clear();
    else hopeless.add(worst);
    worst = worstShort(layout, hopeless);
  }
}

/** What laying a bed anew counts for. */
export function pathsOf(balance: BedBalance): number {
  return balance.store.isAdditive ? 1 : PROPOSAL_COUNTS_FOR;
}

/** Lays the group anew in its order and keeps that when it is cheaper. */
function laidBetter(layout: DayLayout, group: readonly number[]): boolean {
  const before = bedsOf(layout, group);
  const standstills = shortStandstills(layout.timeline);
  for (const bed of before) takeOut(layout, bed);
  const after = before.map((bed) => layAnew(layout, bed));
  const costOf = (beds: readonly LaidBed[]) => sumOfCosts(beds.map((bed) => bed.cost));
  if (isCheaper(costOf(after), costOf(before)) && keepsSupply(layout, standstills)) {
    for (const [place, index] of group.entries()) {
      const bed = after[place];
      if (bed !== undefined) layout.beds[index] = bed;
    }
    return true;
  }
  for (const bed of after) takeOut(layout, bed);
  for (const bed of before) putBack(layout, bed);
  return false;
}

/** The bed that is short for longest, of equals the first by id; null when there is none. */
function worstShort(layout: DayLayout, without: ReadonlySet<number>): number | null {
  let worst: number | null = null;
  for (const [index, bed] of layout.beds.entries()) {
    if (without.has(index) || bed.cost.minutesBelowReserve === 0) continue;
    const standing = worst === null ? undefined : layout.beds[worst];
    const more =
      bed.cost.minutesBelowReserve - (standing?.cost.minutesBelowReserve ?? 0) ||
      (bed.placing.bed.id < (standing?.placing.bed.id ?? '') ? 1 : -1);
    if (more > 0) worst = index;
  }
  return worst;
}

/** The bed alone, then with one of those that drink nearest to its trouble, then with two. */
function groupsAround(layout: DayLayout, index: number): number[][] {
  const bed = layout.beds[index];
  const troubleMs = bed?.cost.firstShortMs ?? 0;
  const near = layout.beds
    .map((other, at) => ({
      at,
      id: other.placing.bed.id,
      awayMs: Math.min(...other.cycles.map((cycle) => Math.abs(cycle.startMs - troubleMs))),
    }))
    .filter(({ at }) => at !== index && !hasLeastCycles(layout.beds[at]))
    .sort((a, b) => a.awayMs - b.awayMs || (a.id < b.id ? -1 : 1))
    .slice(0, MOST_NEIGHBOURS)
    .map(({ at }) => at);
  return [
    [index],
    ...near.map((other) => [index, other]),
    ...near.map((other) => [other, index]),
    ...near.flatMap((one) => near.filter((two) => two !== one).map((two) => [index, one, two])),
  ];
}

const MOST_NEIGHBOURS = 6;

function bedsOf(layout: DayLayout, indices: readonly number[]): LaidBed[] {
  return indices.flatMap((index) => layout.beds[index] ?? []);
}

/** Whether cycles stand for the least number of the day, which a path by need would leave out. */
function hasLeastCycles(bed: LaidBed | undefined): boolean {
  return (bed?.placing.leastCycles ?? 0) > 0;
}
