import { display } from '../../adapters/display-units.ts';
import type { WeightSummary } from '../../calc/looks/weight-summary.ts';
import type { SeenOnBed, StoredLook } from '../site/store/looks.ts';
import { type ToldDry, withBand } from './dry-band-words.ts';
import { type Message, type Say, sayMessage } from './language.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** What was seen, in one line: "dry, cover 40 %, leaf 8 mm". */
export function saySeen(look: SeenOnBed, reader: Pick<Reader, 'language' | 'show'>): string {
  const { surface, coverFraction, leafMm, rootMm, probeFraction, probeDepthMm, photo, note } = look;
  const say = sayTo(reader);
  const { depth } = reader.show;
  const percent = (part: number) => Math.round(100 * part);
  return [
    surface === null ? null : say(`surface.${surface}`),
    coverFraction === null ? null : say('seen.cover', { pct: percent(coverFraction) }),
    leafMm === null ? null : say('seen.leaf', { depth: depth(leafMm) }),
    rootMm === null ? null : say('seen.root', { depth: depth(rootMm) }),
    probeFraction === null || probeDepthMm === null
      ? null
      : say('seen.probe', { pct: percent(probeFraction), depth: depth(probeDepthMm) }),
    photo === null ? null : say('seen.photo'),
    note === null ? null : `"${note}"`,
  ]
    .filter((part) => part !== null)
    .join(', ');
}

/** A smaller change than this is not worth a word. */
const LEAST_TOLD_FRACTION = 0.02;

/** What looks have taught of a bed: "holding 9 % less and losing 10 % faster"; null: nothing to speak of. */
export function sayLearned(
  { storeChangeFraction, lossChangeFraction }: WeightSummary,
  say: Say,
): string | null {
  const told = (name: 'store' | 'loss', changeFraction: number) => {
    if (Math.abs(changeFraction) < LEAST_TOLD_FRACTION) return [];
    const sign = changeFraction < 0 ? 'less' : 'more';
    return [say(`look.${name}_${sign}`, { pct: Math.round(100 * Math.abs(changeFraction)) })];
  };
  const [first, then] = [
    ...told('store', storeChangeFraction),
    ...told('loss', lossChangeFraction),
  ];
  if (first === undefined) return null;
  return then === undefined ? first : say('look.learned_both', { first, then });
}

/** How a bed stands, as far as it is told. */
interface ToldBed extends ToldDry {
  storeMm: number;
  capacityMm: number;
}

/** A bed before and after a look, as far as it is told. */
interface ToldEffect {
  look: StoredLook;
  /** Null when there is no weather to reckon with. */
  bedBefore: ToldBed | null;
  bedAfter: ToldBed | null;
  learnedAfter: {
    isTaught: boolean;
    summary: WeightSummary;
    stepOf: ReadonlyMap<number, { isSetAside: boolean }>;
  };
  /** Why the look could not be held against an expectation; null when it was. */
  noExpectation: Message | string | null;
}

/** What a look has changed: the time to dry and the store, before and after, and what it has taught. */
export function sayEffect(
  effect: ToldEffect,
  given: { reader: Reader; nowMs: number; bed: string },
): string[] {
  const { look, bedBefore, bedAfter, learnedAfter, noExpectation } = effect;
  const { reader, nowMs } = given;
  const { depth } = reader.show;
  const say = sayTo(reader);
  const timeToDry = ({ dryAtMs }: ToldBed) => sayTimeToDry(dryAtMs, nowMs, reader);
  const lines: string[] = [];
  if (noExpectation !== null) {
    lines.push(say('look.teaches_nothing', { why: sayMessage(noExpectation, say) }));
  } else if (look.expected !== null && look.undoneMs === null) {
    const pct = Math.min(100, Math.max(0, Math.round(100 * look.expected.leftFraction)));
    lines.push(say('look.expected', { pct }));
  }
  if (learnedAfter.stepOf.get(look.lookId)?.isSetAside === true) lines.push(say('look.set_aside'));
  if (bedBefore !== null && bedAfter !== null) {
    lines.push(
      say('look.time_to_dry', {
        before: withBand(timeToDry(bedBefore), bedBefore, nowMs, reader),
        after: withBand(timeToDry(bedAfter), bedAfter, nowMs, reader),
      }),
      say('look.store', {
        before: depth(bedBefore.storeMm),
        capacityBefore: depth(bedBefore.capacityMm),
        after: depth(bedAfter.storeMm),
        capacityAfter: depth(bedAfter.capacityMm),
      }),
    );
  }
  if (!learnedAfter.isTaught) return [...lines, say('look.not_taught')];
  const learned = sayLearned(learnedAfter.summary, say);
  if (learned !== null) lines.push(say('look.learned', { bed: given.bed, learned }));
  return lines;
}

/** How long a bed lasts without water: "dry now", "1 h 20 min, to 11:40", "not before tomorrow". */
export function sayTimeToDry(
  dryAtMs: number | null,
  nowMs: number,
  reader: Pick<Reader, 'language' | 'clock'>,
): string {
  const say = sayTo(reader);
  if (dryAtMs === null) return say('time_to_dry.not_soon');
  if (dryAtMs <= nowMs) return say('time_to_dry.now');
  const wholeMinutes = Math.floor((dryAtMs - nowMs) / 60_000);
  const { clock } = reader;
  const isToday = clock.siteDayOf(dryAtMs) === clock.siteDayOf(nowMs);
  return say(isToday ? 'time_to_dry.left' : 'time_to_dry.left_tomorrow', {
    left: display('metric').duration(wholeMinutes * 60),
    at: clock.timeOf(dryAtMs),
  });
}
