import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { BedPlan } from '../../calc/schedule/day-plan.ts';
import type { StandingKeepOff } from '../../calc/schedule/plan-warning.ts';
import {
  type HeldBed,
  HOLD_LEVELS,
  type HoldLevel,
  type HoldStanding,
} from '../site/store/holds-and-keep-offs.ts';
import type { Say } from './language.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** Beds named with the hours that they have left; the rest are counted. */
const MAX_NAMED_BEDS = 3;

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
    beds: left.slice(0, MAX_NAMED_BEDS).join('; '),
    more: Math.max(0, left.length - MAX_NAMED_BEDS),
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

/** A reminder of a hold, to be told once. */
interface HoldReminder {
  key: string;
  text: string;
}

const SHARE: Readonly<Record<Exclude<HoldLevel, 'plenty'>, string>> = {
  half: 'Half of the time is gone',
  quarter: 'Three quarters of the time are gone',
  zero: 'The seedbed is dry',
};

interface Saying {
  timeOf(instantMs: number): string;
  show: Pick<UnitDisplay, 'duration'>;
}

/**
 * What is to be told of the open holds and has not been. A bed that has passed several levels since
 * the last look is told of once, at the worst. Pure.
 */
export function holdReminders(
  standings: readonly HoldStanding[],
  told: readonly string[],
  say: Saying,
): HoldReminder[] {
  return standings.flatMap(({ hold, beds, isOver }): HoldReminder[] => {
    const rank = (level: HoldLevel) => HOLD_LEVELS.indexOf(level);
    const toldRank = (bedId: string) =>
      Math.max(
        0,
        ...HOLD_LEVELS.filter((level) =>
          told.some((key) => {
            const [begin, ids = ''] = key.split(': ');
            return begin === `hold ${hold.holdId} ${level}` && ids.split(' ').includes(bedId);
          }),
        ).map(rank),
      );
    const rising = (['zero', 'quarter', 'half'] as const).flatMap((level): HoldReminder[] => {
      const own = beds.filter((bed) => bed.level === level && rank(level) > toldRank(bed.bedId));
      if (own.length === 0) return [];
      const names = own.map((bed) => sayHeldBed(bed, say)).join('; ');
      return [
        {
          key: `hold ${hold.holdId} ${level}: ${own.map(({ bedId }) => bedId).join(' ')}`,
          text: `The hold by ${hold.who} (${hold.why}) keeps water off: ${names}. ${SHARE[level]}. To water again: \`dewbeat plan --lift\`, then confirm.`,
        },
      ];
    });
    const overKey = `hold ${hold.holdId} over`;
    if (!isOver || told.includes(overKey)) return rising;
    const what = hold.beds === 'all' ? 'everything' : hold.beds.join(', ');
    return [
      ...rising,
      {
        key: overKey,
        text: `THE HOLD STANDS though its time is over: ${what}, by ${hold.who} (${hold.why}), was meant until ${say.timeOf(hold.untilMs ?? 0)}. No water runs there until a person confirms a fresh plan; one that lifts it is proposed.`,
      },
    ];
  });
}

/** "Green 3 has 1 h 05 min of 2 h 10 min left, dry at 14:05". */
export function sayHeldBed(
  { name, hadMs, leftMs, dryMs }: HeldBed,
  { timeOf, show }: Saying,
): string {
  if (leftMs <= 0) return `${name} is dry`;
  const minutes = (ms: number) => show.duration(Math.round(ms / 60_000) * 60);
  return `${name} has ${minutes(leftMs)} of ${minutes(hadMs)} left, dry at ${timeOf(dryMs)}`;
}
