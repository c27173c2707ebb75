import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { Learned } from '../../calc/looks/learn-bed.ts';
import type { StoredLook } from '../store/looks.ts';
import { sayTimeToDry } from './dry-words.ts';
import { NOT_TAUGHT, sayLearned } from './look-lines.ts';

/** How a bed stands, as far as it is told. */
interface ToldBed {
  dryAtMs: number | null;
  storeMm: number;
  capacityMm: number;
}

/** A bed before and after a look, as far as it is told. */
interface ToldEffect {
  look: StoredLook;
  /** Null when there is no weather to reckon with. */
  bedBefore: ToldBed | null;
  bedAfter: ToldBed | null;
  learnedBefore: { learned: Learned };
  learnedAfter: {
    isTaught: boolean;
    learned: Learned;
    stepOf: ReadonlyMap<number, { isSetAside: boolean }>;
  };
  /** Why the look could not be held against an expectation; null when it was. */
  noExpectation: string | null;
}

/** What a look has changed: the time to dry, the store and the factors, before and after. */
export function sayEffect(
  effect: ToldEffect,
  say: { clock: SiteClock; show: UnitDisplay; nowMs: number },
): string[] {
  const { look, bedBefore, bedAfter, learnedBefore, learnedAfter, noExpectation } = effect;
  const { clock, show, nowMs } = say;
  const lines: string[] = [];
  if (noExpectation !== null) {
    lines.push(`Kept, but it teaches nothing: ${noExpectation}.`);
  } else if (look.expected !== null && look.undoneMs === null) {
    lines.push(sayExpected(look.expected.leftFraction));
  }
  if (learnedAfter.stepOf.get(look.lookId)?.isSetAside === true) {
    lines.push(
      'It is so much drier than expected that it is set aside: it hardly moves the factors, though the plan starts from it. A second look would settle it; `dewbeat look --undo` takes it back.',
    );
  }
  if (bedBefore !== null && bedAfter !== null) {
    lines.push(
      `Time to dry: ${sayTimeToDry(bedBefore.dryAtMs, nowMs, clock)} before, ${sayTimeToDry(bedAfter.dryAtMs, nowMs, clock)} after.`,
      `Store: ${show.depth(bedBefore.storeMm)} of ${show.depth(bedBefore.capacityMm)} before, ${show.depth(bedAfter.storeMm)} of ${show.depth(bedAfter.capacityMm)} after.`,
    );
  }
  if (!learnedAfter.isTaught) return [...lines, NOT_TAUGHT];
  lines.push(
    `Learned: ${sayLearned(learnedBefore.learned)} before; ${sayLearned(learnedAfter.learned)} after.`,
  );
  return lines;
}

function sayExpected(leftFraction: number): string {
  const part = Math.round(100 * leftFraction);
  return part <= 0
    ? 'Expected at that time: dry.'
    : `Expected at that time: ${Math.min(100, part)} % of the store left.`;
}
