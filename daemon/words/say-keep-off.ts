import type { BedPlan } from '../../calc/schedule/day-plan.ts';
import type { StandingKeepOff } from '../../calc/schedule/plan-warning.ts';
import type { Say } from './language.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** Beds named with the hours that they have left; the rest are counted. */
const MOST_NAMED = 3;

/**
 * A standing keep-off in words: which beds, why, by whom, for how long already, until when, and how
 * long the beds have left without water. Pure.
 *
 * @param given.beds As the newest plan has them; empty when there is none.
 */
export function sayKeepOff(
  keepOff: StandingKeepOff,
  given: { beds: readonly BedPlan[]; nowMs: number; reader: Reader },
): string {
  const { beds, nowMs, reader } = given;
  const { keepOffId, atMs, who, why } = keepOff;
  const { clock, show } = reader;
  const say = sayTo(reader);
  const duration = (ms: number) => show.duration(ms / 1000);
  const when = (ms: number) =>
    clock.siteDayOf(ms) === clock.siteDayOf(nowMs)
      ? clock.timeOf(ms)
      : `${clock.siteDayOf(ms)} ${clock.timeOf(ms)}`;
  const covered = beds.filter((bed) => keepOff.beds === 'all' || keepOff.beds.includes(bed.bedId));
  const names =
    keepOff.beds === 'all'
      ? say('notice.all_beds')
      : keepOff.beds
          .map((bedId) => beds.find((bed) => bed.bedId === bedId)?.name ?? bedId)
          .join(', ');
  const left = covered
    .toSorted((a, b) => (a.dryAtMs ?? Infinity) - (b.dryAtMs ?? Infinity))
    .map(({ name: bed, dryAtMs }) => {
      if (dryAtMs === null) return say('bed_left.until_tomorrow', { bed });
      return dryAtMs <= nowMs
        ? say('bed_left.dry_now', { bed })
        : say('bed_left.hours', { bed, left: duration(dryAtMs - nowMs), at: when(dryAtMs) });
    });
  const told = say('keep_off.standing', {
    id: keepOffId,
    why,
    beds: names,
    who,
    since: when(atMs),
    soFar: nowMs === atMs ? '' : say('keep_off.so_far', { duration: duration(nowMs - atMs) }),
    end: sayEnd(keepOff, { nowMs, when, say }),
  });
  if (left.length === 0) return told;
  const lasting = say('keep_off.without_water', {
    beds: left.slice(0, MOST_NAMED).join('; '),
    more: Math.max(0, left.length - MOST_NAMED),
  });
  return `${told} ${lasting}`;
}

function sayEnd(
  { keepOffId, overMs, labelIntervalS, dryUntilMs }: StandingKeepOff,
  { nowMs, when, say }: { nowMs: number; when: (ms: number) => string; say: Say },
): string {
  if (overMs === null) return say('keep_off.until_ended', { id: keepOffId });
  if (labelIntervalS === 0 || dryUntilMs === null) {
    return say('keep_off.until', { at: when(overMs) });
  }
  return say(overMs <= nowMs ? 'keep_off.over_label' : 'keep_off.until_label', {
    over: when(overMs),
    until: when(dryUntilMs),
  });
}
