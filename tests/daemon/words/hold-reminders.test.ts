import { describe, expect, it } from 'vitest';
import {
  type HeldBed,
  type HoldStanding,
  holdLevel,
} from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { holdReminders } from '../../../daemon/words/keep-dry-words.ts';

const MIN_MS = 60_000;
const reader = {
  language: 'en' as const,
  clock: { timeOf: (ms: number) => `${ms / MIN_MS}'` },
  show: { duration: (s: number) => `${s / 60} min` },
};

/** An invented bed that had 120 minutes, so many minutes ago. */
function bed(bedId: string, leftMin: number): HeldBed {
  const times = { hadMs: 120 * MIN_MS, leftMs: leftMin * MIN_MS };
  return { bedId, name: bedId, dryMs: 500 * MIN_MS, ...times, level: holdLevel(times) };
}

const standing = (beds: HeldBed[], isOver = false): HoldStanding => ({
  hold: {
    holdId: 3,
    atMs: 0,
    who: 'A. Keeper',
    why: 'leak',
    beds: 'all',
    untilMs: 400 * MIN_MS,
    inForceId: 1,
  },
  beds,
  isOver,
});

const keys = (beds: HeldBed[], told: string[], isOver = false) =>
  holdReminders([standing(beds, isOver)], told, reader).map(({ key }) => key);

describe('holdLevel', () => {
  it.each([
    [120, 61, 'plenty'],
    [120, 60, 'half'],
    [120, 31, 'half'],
    [120, 30, 'quarter'],
    [120, 1, 'quarter'],
    [120, 0, 'zero'],
    [0, 0, 'zero'],
    [100, 130, 'plenty'],
  ] as const)('of %d min with %d left is %s', (had, left, level) => {
    expect(holdLevel({ hadMs: had * MIN_MS, leftMs: left * MIN_MS })).toBe(level);
  });
});

describe('holdReminders', () => {
  it.each([
    ['nothing yet', [bed('a', 90)], [], []],
    ['half', [bed('a', 60)], [], ['hold 3 half: a']],
    ['half, told', [bed('a', 55)], ['hold 3 half: a'], []],
    ['a quarter after half', [bed('a', 30)], ['hold 3 half: a'], ['hold 3 quarter: a']],
    ['zero at once', [bed('a', 0)], [], ['hold 3 zero: a']],
    ['back from a quarter', [bed('a', 50)], ['hold 3 quarter: a'], []],
    ['two beds together', [bed('a', 60), bed('b', 50)], [], ['hold 3 half: a b']],
    ['a second bed later', [bed('a', 55), bed('b', 60)], ['hold 3 half: a'], ['hold 3 half: b']],
    ['a bed whose name begins alike', [bed('a', 60)], ['hold 3 half: a1'], ['hold 3 half: a']],
    ['another hold’s word', [bed('a', 60)], ['hold 33 half: a'], ['hold 3 half: a']],
    ['worst first', [bed('a', 60), bed('b', 0)], [], ['hold 3 zero: b', 'hold 3 half: a']],
  ] as const)('%s', (_, beds, told, expected) => {
    expect(keys([...beds], [...told])).toEqual(expected);
  });

  it('says once and loudly that a hold outlasts its time', () => {
    expect(keys([], [], true)).toEqual(['hold 3 over']);
    expect(keys([], ['hold 3 over'], true)).toEqual([]);
    const [over] = holdReminders([standing([], true)], [], reader);
    expect(over?.text).toMatch(
      /^WATER IS STILL STOPPED though the time meant for it is over: everything, by A. Keeper/,
    );
  });

  it('are told in the language of the site, by the names of acts wherever they are read', () => {
    const spanish = { ...reader, language: 'es' as const, place: 'anywhere' as const };
    const [half] = holdReminders([standing([bed('a', 60)])], [], spanish);
    expect(half?.text).toBe(
      "Agua parada por A. Keeper (leak): a a le quedan 60 min de 120 min, seca a las 500'. Ya pasó la mitad del tiempo. Para volver a regar: “Soltar el agua”, luego confirme.",
    );
  });

  it('names the time left and the way out', () => {
    const [half] = holdReminders([standing([bed('a', 60)])], [], reader);
    expect(half?.text).toBe(
      "Water stopped by A. Keeper (leak): a has 60 min of 120 min left, dry at 500'. Half of the time is gone. To water again: `dewbeat release`, then confirm.",
    );
  });
});
