import { display, type UnitDisplay } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { Learned } from '../../calc/looks/learn-bed.ts';
import type { SeenOnBed, StoredLook } from '../site/store/looks.ts';

/** What was seen, in one line: "dry, cover 40 %, leaf 8 mm". */
export function saySeen(look: SeenOnBed, show: UnitDisplay): string {
  const { surface, coverFraction, leafMm, rootMm, probeFraction, probeDepthMm, photo, note } = look;
  const percent = (part: number) => `${Math.round(100 * part)} %`;
  return [
    surface,
    coverFraction === null ? null : `cover ${percent(coverFraction)}`,
    leafMm === null ? null : `leaf ${show.depth(leafMm)}`,
    rootMm === null ? null : `root ${show.depth(rootMm)}`,
    probeFraction === null || probeDepthMm === null
      ? null
      : `probe ${percent(probeFraction)} at ${show.depth(probeDepthMm)}`,
    photo === null ? null : 'a photo',
    note === null ? null : `"${note}"`,
  ]
    .filter((part) => part !== null)
    .join(', ');
}

/** Why looks teach a bed no factors. */
const NOT_TAUGHT =
  'Its store is one that you stated: looks set what it holds now and teach no factors.';

/** What looks have taught: "store x 0.84, loss x 1.12, 2 looks set aside". */
function sayLearned(learned: Learned): string {
  const { capacityFraction, exposureFraction, setAside } = learned;
  const aside = setAside === 0 ? '' : `; ${setAside} set aside as drier than could be believed`;
  return `store x ${capacityFraction.toFixed(2)}, loss x ${exposureFraction.toFixed(2)}${aside}`;
}

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

/** How long a bed lasts without water: "dry now", "1 h 20 min, to 11:40", "not before tomorrow". */
export function sayTimeToDry(dryAtMs: number | null, nowMs: number, clock: SiteClock): string {
  if (dryAtMs === null) return 'not before tomorrow';
  if (dryAtMs <= nowMs) return 'dry now';
  const wholeMinutes = Math.floor((dryAtMs - nowMs) / 60_000);
  const left = display('metric').duration(wholeMinutes * 60);
  const day = clock.siteDayOf(dryAtMs) === clock.siteDayOf(nowMs) ? '' : ' tomorrow';
  return `${left}, to ${clock.timeOf(dryAtMs)}${day}`;
}
