import { display, type UnitDisplay } from '../../adapters/display-units.ts';
import type { BedPlan } from '../../calc/schedule/day-plan.ts';
import type { StandingKeepOff } from '../../calc/schedule/plan-warning.ts';
import { bedsFact } from '../coded.ts';
import {
  type HeldBed,
  HOLD_LEVELS,
  type Hold,
  type HoldLevel,
  type HoldStanding,
} from '../site/store/holds-and-keep-offs.ts';
import { withBand } from './dry-band-words.ts';
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
    .map((own) => {
      const { name: bed, dryAtMs } = own;
      if (dryAtMs === null) return say('bed_left.until_tomorrow', { bed });
      return dryAtMs <= nowMs
        ? say('bed_left.dry_now', { bed })
        : say('bed_left.hours', {
            bed,
            left: duration(dryAtMs - nowMs),
            at: withBand(when(dryAtMs), own, nowMs, reader),
          });
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

/** A reminder of stopped water, to be told once. */
interface HoldReminder {
  key: string;
  text: string;
}

/**
 * What is to be told of beds whose water is stopped and has not been. A bed that has passed several levels
 * since the last look is told of once, at the worst. Pure.
 */
export function holdReminders(
  standings: readonly HoldStanding[],
  told: readonly string[],
  reader: Reminded,
): HoldReminder[] {
  const say = sayTo(reader);
  return standings.flatMap(({ hold, beds, isOver }): HoldReminder[] => {
    const { holdId, who, why } = hold;
    const toldRank = (bedId: string) =>
      Math.max(
        0,
        ...HOLD_LEVELS.filter((level) =>
          told.some((key) => tells(key, { holdId, level, bedId })),
        ).map(rankOf),
      );
    const rising = (['zero', 'quarter', 'half'] as const).flatMap((level): HoldReminder[] => {
      const own = beds.filter((bed) => bed.level === level && rankOf(level) > toldRank(bed.bedId));
      if (own.length === 0) return [];
      const names = own.map((bed) => sayHeldBed(bed, reader)).join('; ');
      return [
        {
          key: `${keyOf({ holdId, level })}: ${own.map(({ bedId }) => bedId).join(' ')}`,
          text: say('stop_reminder.dries', { who, why, beds: names, level }),
        },
      ];
    });
    const overKey = keyOf({ holdId, level: 'over' });
    if (!isOver || told.includes(overKey)) return rising;
    const until = reader.clock.timeOf(hold.untilMs ?? 0);
    const text = say('stop_reminder.over', { beds: bedsFact(hold.beds), who, why, until });
    return [...rising, { key: overKey, text }];
  });
}

const rankOf = (level: HoldLevel): number => HOLD_LEVELS.indexOf(level);

function keyOf({ holdId, level }: { holdId: number; level: HoldLevel | 'over' }): string {
  return `hold ${holdId} ${level}`;
}

/** Whether what was told under a key was told of a bed at a level. */
function tells(
  key: string,
  { holdId, level, bedId }: { holdId: number; level: HoldLevel; bedId: string },
): boolean {
  const [begin, ids = ''] = key.split(': ');
  return begin === keyOf({ holdId, level }) && ids.split(' ').includes(bedId);
}

/** Whom reminders are told to. */
interface Reminded extends Pick<Reader, 'language' | 'place'> {
  clock: Pick<Reader['clock'], 'timeOf'>;
  show: Pick<UnitDisplay, 'duration'>;
}

/** "Green 3 has 1 h 05 min of 2 h 10 min left, dry at 14:05". */
export function sayHeldBed({ name, hadMs, leftMs, dryMs }: HeldBed, reader: Reminded): string {
  const say = sayTo(reader);
  if (leftMs <= 0) return say('stopped_bed.dry', { bed: name });
  const minutes = (ms: number) => reader.show.duration(Math.round(ms / 60_000) * 60);
  return say('stopped_bed.left', {
    bed: name,
    left: minutes(leftMs),
    had: minutes(hadMs),
    at: reader.clock.timeOf(dryMs),
  });
}

/** Stopped water in one line: where, by whom, why, since when, and until when it was meant. */
export function sayStopped(hold: Hold, reader: Reader, nowMs: number): string {
  const { atMs, untilMs, who, why } = hold;
  const { timeOf } = reader.clock;
  const until =
    untilMs === null
      ? ''
      : sayTo(reader)(untilMs <= nowMs ? 'stopped.was_until' : 'stopped.until', {
          at: timeOf(untilMs),
        });
  return sayTo(reader)('stopped.line', {
    beds: bedsFact(hold.beds),
    who,
    why,
    since: timeOf(atMs),
    soFar: display('metric').duration(Math.max(0, nowMs - atMs) / 1000),
    until,
  });
}
