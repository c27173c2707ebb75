import { describe, expect, it } from 'vitest';
import { seriesOf } from '../../../calc/schedule/bed-balance.ts';
import {
  balanceWith,
  drainsWholeRotation,
  isSameCycle,
  laidWith,
  withCycles,
} from '../../../calc/schedule/day-layout.ts';
import { at, type HandBed, laidDay, placesOf } from '../../laid-day.ts';

type Change = Parameters<typeof laidDay>[1];

/** Sums of halves: 1 mm of 1.5 is gone at 80 min of 240; a turn of two minutes brings half a one. */
const bed = (change: Partial<HandBed> = {}): HandBed => ({
  id: 'a',
  stations: [{ precipitationRateMmPerH: 15 }],
  lossMm: () => 1 / 16,
  ...change,
});
function first(cycles: HandBed['cycles'], change: Partial<HandBed> = {}, day: Change = {}) {
  const layout = laidDay([bed({ ...(cycles === undefined ? {} : { cycles }), ...change })], day);
  const [laid] = layout.beds;
  if (laid === undefined) throw new Error('no bed');
  return { layout, laid };
}
const cyclesAt = (...cycles: [number, ...number[]][]) => first(cycles).laid.cycles;

describe('a dose for a dry bed', () => {
  const { balance } = first([]).laid;
  const tooMuch = (turns: number, roomMm: number, backMm?: number) => {
    const [cycle] = cyclesAt([60, turns]);
    if (cycle === undefined) throw new Error('no cycle');
    return drainsWholeRotation(balance, { ...cycle, roomMm }, backMm);
  };

  it('is too much where a turn less would already drain', () => {
    expect(tooMuch(2, 0.5)).toBe(false);
    expect(tooMuch(2, 0.49)).toBe(true);
    expect(tooMuch(2, 0.49, 0.01)).toBe(false);
    expect(tooMuch(2, 0.49, 0.005)).toBe(true);
    expect(tooMuch(1, 0)).toBe(false);
  });

  it('is too much where that is so on any part of the bed', () => {
    // 0.5 and 0.25 mm in a turn; at 40 min both parts have room for 1 mm.
    const stations = [{ precipitationRateMmPerH: 15 }, { precipitationRateMmPerH: 7.5 }];
    const parts = (...turns: [number, number]) => {
      const { laid } = first([[40, ...turns]], { stations, isInParts: true });
      const [cycle] = laid.cycles;
      if (cycle === undefined) throw new Error('no cycle');
      const dry = balanceWith(laid, []);
      expect(dry.parts).toHaveLength(2);
      return drainsWholeRotation(dry, { ...cycle, roomMm: 0 });
    };
    expect(parts(3, 5)).toBe(false);
    expect(parts(4, 5)).toBe(true);
    expect(parts(3, 6)).toBe(true);
  });
});

describe('a bed with other cycles', () => {
  it('has their water and no other', () => {
    const { laid, layout } = first([[20], [60]]);
    const [one, two] = laid.cycles;
    if (one === undefined || two === undefined) throw new Error('no cycles');
    expect(seriesOf(balanceWith(laid, [])).marginMm[16]).toBe(0);
    expect(seriesOf(balanceWith(laid, [two])).marginMm[16]).toBe(0.5);
    const other = withCycles(layout, laid, [one]);
    expect(seriesOf(other.balance).marginMm[16]).toBe(0.5);
    expect(other.cycles.map((cycle) => cycle.startMs)).toEqual([at(20)]);
    expect(other.cost.cycles).toBe(1);
    expect(other.cost.netMm).toBeCloseTo(0.5, 9);
    expect(seriesOf(laid.balance).marginMm[16]).toBe(1);
    // Room of half a millimetre at the begin, less than a turn and a half.
    const [early] = cyclesAt([0, 2]);
    if (early === undefined) throw new Error('no cycle');
    expect(withCycles(layout, laid, [early]).cycles[0]?.drainedMm).toBeCloseTo(0.4375, 9);
  });

  it('knows a cycle by its start and its runs', () => {
    const [one] = cyclesAt([20]);
    const [other] = cyclesAt([20]);
    if (one === undefined || other === undefined) throw new Error('no cycles');
    expect(isSameCycle(one, { ...one })).toBe(true);
    expect(isSameCycle(one, other)).toBe(false);
    expect(isSameCycle(one, { ...one, startMs: at(21) })).toBe(false);
  });
});

describe('a bed laid with other cycles', () => {
  const laidAs = (
    own: [number, ...number[]][],
    more: [number, ...number[]][],
    change: Partial<HandBed> = {},
    day: Change = {},
  ) => {
    const { layout, laid } = first(own, change, day);
    const found = laidWith(layout, laid, [...laid.cycles, ...cyclesAt(...more)]);
    if (found !== null) layout.beds = [found];
    return { found, places: placesOf(layout), starts: layout.timeline.starts };
  };

  it('has them booked in order of time', () => {
    const { places, starts } = laidAs([[130]], [[80]]);
    expect(places).toEqual(['a 80:1', 'a 130:1']);
    expect(starts).toEqual([at(80), at(130)]);
  });

  it('gets less of a later dose that has no room any more', () => {
    // 1.5 mm at 80 min leave room for 0.25 at 100: one turn of three, of which half drains.
    expect(laidAs([[100, 3]], [[80, 3]]).places).toEqual(['a 80:3', 'a 100:1']);
    expect(laidAs([[130, 3]], [[80, 3]]).places).toEqual(['a 80:3', 'a 130:2']);
  });

  it('stays as it was where it would be no less dry, or something is in the way', () => {
    const still = laidAs([[60]], [[62]], { lossMm: (step) => (step < 8 ? 1 / 16 : 0) });
    expect(still.found).toBeNull();
    expect(still.starts).toEqual([at(60)]);
    const off = laidAs([[130]], [[80]], { keepOffs: [[79, 81, 'mow']] });
    expect(off.found).toBeNull();
    expect(off.starts).toEqual([at(130)]);
    // What it has may stand where nothing new might.
    const own = laidAs([[130]], [[80]], { keepOffs: [[129, 133, 'mow']] });
    expect(own.places).toEqual(['a 80:1', 'a 130:1']);
  });
});
