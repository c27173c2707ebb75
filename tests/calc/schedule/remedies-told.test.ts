import { describe, expect, it } from 'vitest';
import { copyBalance, seriesOf } from '../../../calc/schedule/bed-balance.ts';
import { placeCycles } from '../../../calc/schedule/placement.ts';
import { withRemedies } from '../../../calc/schedule/remedies.ts';
import { shortagesOf } from '../../../calc/schedule/shortages.ts';
import type { KeepOffKind } from '../../../calc/schedule/site.ts';
import { sayShortageCause } from '../../../daemon/words/plan-words.ts';
import { at, type HandBed, handInput, minutesOf } from '../../laid-day.ts';

type Change = Parameters<typeof handInput>[1];

/** What each short bed is told, and that nothing is changed by asking. */
function told(beds: readonly HandBed[], change: Change = {}): string[] {
  const input = handInput(beds, change);
  const placed = input.beds.map((one) => ({ ...one, balance: copyBalance(one.balance) }));
  const { obstructed } = placeCycles({ ...input, beds: placed });
  const daylight = { startMs: at(0), endMs: at(160) };
  const shortages = placed.flatMap(({ bed, balance }) =>
    shortagesOf({
      bedId: bed.id,
      balance,
      daylight,
      window: input.window,
      obstructed,
    }),
  );
  const before = input.beds.map(({ balance }) => seriesOf(balance).marginMm.slice());
  const helped = withRemedies(shortages, input, { obstructed, placed, daylight });
  expect(input.beds.map(({ balance }) => seriesOf(balance).marginMm)).toEqual(before);
  const reader = {
    language: 'en',
    clock: { timeOf: (ms: number) => `${minutesOf(ms)} min` },
  } as const;
  return helped.map((one) => `${one.bedId}: ${sayShortageCause(one, reader)}`);
}

/** Sums of halves: 1 mm is gone at 80 min of 160; a turn of two minutes brings half a one. */
const bed = (id: string, change: Partial<HandBed> = {}): HandBed => ({
  id,
  stations: [{ precipitationRateMmPerH: 15 }],
  lossMm: (step) => (step < 32 ? 1 / 16 : 0),
  ...change,
});

describe('what would help a bed that is dry', () => {
  it('is nothing where none is', () => {
    expect(told([bed('a')])).toEqual([]);
  });

  const saves = (what: string, minutes: number) =>
    `${what} would save ${minutes} min of the bed's time below its reserve`;
  const off = (fromMin: number, toMin: number, kind?: KeepOffKind) =>
    told([
      bed('a', {
        keepOffs: [kind === undefined ? [fromMin, toMin, 'mow'] : [fromMin, toMin, '', kind]],
      }),
    ]);

  it('is a keep-off half an hour later or earlier, whichever saves more, by ten minutes at least', () => {
    // Below its reserve from 60 to 105 min; water at 70 leaves it so until 75. Up to 30 min two turns
    // together, the second of which drains in part, last half an hour longer than one.
    expect(off(0, 100)).toEqual([
      `a: mow keeps water off until 100 min; ${saves('moving mow 30 min earlier', 30)}`,
    ]);
    expect(off(0, 179.5)).toEqual([
      `a: mow keeps water off until 179.5 min; ${saves('moving mow 30 min later', 70)}`,
    ]);
    expect(off(20, 110)).toEqual(['a: mow keeps water off until 110 min']);
  });

  it('is no keep-off that nobody can move, or that lasts the day out', () => {
    const fixed = {
      frost: 'frost',
      permit: 'the permit',
      label_interval: "the label's interval",
      wind: 'wind above the limit',
    } as const;
    for (const [kind, words] of Object.entries(fixed)) {
      const said = off(0, 100, kind as KeepOffKind);
      expect(said).toEqual([`a: ${words} keeps water off until 100 min`]);
    }
    expect(off(0, 180)).toEqual(['a: mow keeps water off until 180 min']);
  });

  it('is the keep-off of the bed itself', () => {
    const keepOff = (toMin: number) => ({ keepOffs: [[0, toMin, 'mow']] as const });
    expect(told([bed('a', keepOff(100)), bed('b', keepOff(120))])).toEqual([
      `a: mow keeps water off until 100 min; ${saves('moving mow 30 min earlier', 30)}`,
      `b: mow keeps water off until 120 min; ${saves('moving mow 30 min earlier', 30)}`,
    ]);
  });

  it('is an earlier first start, or a later last end', () => {
    const hours = (firstMin: number, lastMin: number) =>
      told([bed('a')], {
        window: { firstStartMs: at(firstMin), lastEndMs: at(lastMin), nextFirstStartMs: at(240) },
      });
    expect(hours(95, 180)).toEqual([
      `a: water may not start before 95 min; ${saves('a first start 30 min earlier', 30)}`,
    ]);
    expect(hours(0, 30)).toEqual([
      `a: no cycle more would make it less dry; ${saves('a last end 30 min later', 40)}`,
    ]);
  });

  it('is a tenth more of the day’s allowance where that is another turn', () => {
    const allowed = (dayAllowanceL: number) => told([bed('a')], { limits: { dayAllowanceL } });
    const used = "a: the day's allowance of water is used up";
    const larger = saves("a day's allowance 10 % larger", 40);
    // A turn takes 200 L: 181 L and a tenth are less than that.
    expect(allowed(182)).toEqual([`${used}; ${larger}`]);
    expect(allowed(181)).toEqual([used]);
  });

  it('is a pump a tenth stronger where that is the flow of a station', () => {
    const pump = (pumpFlowLPerMin: number) => told([bed('a')], { limits: { pumpFlowLPerMin } });
    expect(pump(91)).toEqual(['a: the pump is full; a pump 10 % stronger would end it']);
    expect(pump(90)).toEqual(['a: the pump is full']);
  });

  it('is one more station at once where that is all that is missing', () => {
    const stations = [{ precipitationRateMmPerH: 15 }, { precipitationRateMmPerH: 15 }];
    const at1 = (stationsAtOnce: number, count: number) =>
      told([bed('a', { stations: stations.slice(0, count) })], { limits: { stationsAtOnce } });
    const full = 'a: as many stations run as may run at once';
    expect(at1(1, 2)).toEqual([`${full}; one more station at once would end it`]);
    expect(at1(0, 2)).toEqual([full]);
    expect(at1(0, 1)).toEqual([`${full}; one more station at once would end it`]);
  });
});
