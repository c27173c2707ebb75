import { drynessOf } from './bed-dryness.ts';
import { type DayLayout, type LaidBed, type LaidBedCycle, putBack, takeOut } from './day-layout.ts';
import { freeStarts, type Tries } from './free-starts.ts';
import { withOneMore } from './last-gaps.ts';
import { balanceWith, withCycles } from './other-cycles.ts';
import { shortStandstills } from './pump-rest.ts';

/**
 * Where water is short, gives a dry bed a cycle in place of one that another bed can do without: no
 * bed goes without water while another is refilled, if the drier of the two is less dry for it, and
 * no minute is taken from one bed that does not save more on the other. The driest bed first.
 *
 * @returns True when anything has changed.
 */
export function shareWater(layout: DayLayout, tries: Tries): boolean {
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
function takesFromOthers(layout: DayLayout, at: number, tries: Tries): boolean {
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
