import type { UnitDisplay } from '../../adapters/display-units.ts';
import { type HeldBed, HOLD_LEVELS, type HoldLevel, type HoldStanding } from '../gate/held-beds.ts';

/** A reminder of a hold, to be told once. */
export interface HoldReminder {
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
