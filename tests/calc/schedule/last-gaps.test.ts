import { describe, expect, it } from 'vitest';
import { type BedBalance, seriesOf } from '../../../calc/schedule/bed-balance.ts';
import { fillGaps } from '../../../calc/schedule/gap-filling.ts';
import { at, type HandBed, laidDay, placesOf } from '../../laid-day.ts';

type Change = Parameters<typeof laidDay>[1];

function filled(beds: readonly HandBed[], change: Change = {}, most = 100_000) {
  const layout = laidDay(beds, change);
  const tries = { most };
  fillGaps(layout, tries);
  return { layout, tries };
}
const placed = (...given: Parameters<typeof filled>) => placesOf(filled(...given).layout);

/** 1 mm is gone at 100 min; three turns of two minutes, which fill it up, then last the day. */
const bed = (id: string, change: Partial<HandBed> = {}): HandBed => ({ id, ...change });
/** Its figures are sums of halves: 1 mm is gone at 80 min to the bit, a turn brings half a one. */
const exact = (change: Partial<HandBed> = {}): HandBed =>
  bed('a', { stations: [{ precipitationRateMmPerH: 15 }], lossMm: () => 1 / 16, ...change });
const lost = (steps: number) => (step: number) => (step < steps ? 1 / 16 : 0);
const onePump = { limits: { pumpFlowLPerMin: 150 } };

describe('a dry bed that has a gap', () => {
  it('gets the dose that helps it most, as late as that goes', () => {
    expect(placed([bed('a')])).toEqual(['a 100:3']);
    // Two turns are all that the cap allows: they last, with what is there, until 220 min.
    expect(placed([bed('a', { doseCapMm: 1.2 })], {}, 100_000)[0]).toMatch(/^a \d+:[12]$/);
  });

  it('gets no more water than it needs', () => {
    // Of 1.5 mm that the day takes from it 1 is there: one turn will do.
    const lossMm = (step: number) => (step < 30 ? 0.05 : 0);
    expect(placed([bed('a', { lossMm })])).toEqual(['a 100:1']);
    const more = (step: number) => (step < 40 ? 0.05 : 0);
    expect(placed([bed('a', { lossMm: more })])).toEqual(['a 100:2']);
    const none = (step: number) => (step < 20 ? 0.05 : 0);
    expect(placed([bed('a', { lossMm: none })])).toEqual([]);
  });

  it('comes before one that is dry for less long, and of equals the first by id', () => {
    expect(placed([bed('b'), bed('a')], onePump)).toEqual(['b 90:3', 'a 100:3']);
    expect(placed([bed('b', { storeMm: 0.95 }), bed('a')], onePump)).toEqual(['b 95:3', 'a 101:3']);
  });

  it('keeps off, and rests between its cycles', () => {
    expect(placed([bed('a', { keepOffs: [[98, 120, 'mow']] })])).toEqual(['a 90:3']);
    // 1 mm and half a one at 60 min last until 120; there the next half is in time.
    const rested = exact({ doseCapMm: 0.5, cycles: [[60]], lossMm: lost(32) });
    expect(placed([rested])).toEqual(['a 60:1', 'a 120:1']);
    expect(placed([rested], { limits: { restMin: 58 } })).toEqual(['a 60:1', 'a 120:1']);
    expect(placed([rested], { limits: { restMin: 59 } })).toEqual(['a 60:1', 'a 121:1']);
    const other = exact({ doseCapMm: 0.5, cycles: [[150]], lossMm: lost(32) });
    expect(placed([other], { limits: { restMin: 68 } })).toEqual(['a 10:1', 'a 80:1', 'a 150:1']);
    expect(placed([other], { limits: { restMin: 68.5 } })).toEqual(['a 0:1', 'a 75:1', 'a 150:1']);
  });

  it('gets none beyond the water that may run', () => {
    const allowed = (dayAllowanceL: number) => ({ limits: { dayAllowanceL } });
    expect(placed([bed('a')], allowed(199))).toEqual([]);
    expect(placed([bed('a')], allowed(200))).toEqual(['a 100:1']);
    expect(placed([bed('a')], allowed(400))).toEqual(['a 100:2']);
    expect(placed([bed('a')], allowed(599))).toEqual(['a 100:2']);
  });

  it('moves a cycle of its own where no more may run', () => {
    const only = { limits: { dayAllowanceL: 200 } };
    expect(placed([bed('a', { cycles: [[170]] })], only)).toEqual(['a 100:1']);
    expect(placed([bed('a', { cycles: [[60]] })], only), 'no gain').toEqual(['a 60:1']);
  });

  it('takes the place that another has left', () => {
    // All water of the day stands at 170 min, where it is too late for either.
    const beds = [bed('a', { cycles: [[170]] }), bed('b', { cycles: [[172]] })];
    const change = { limits: { pumpFlowLPerMin: 150, dayAllowanceL: 400 } };
    expect(placed(beds, change)).toEqual(['a 100:1', 'b 102:1']);
  });

  it('is left as it is where no work may be done', () => {
    const { layout, tries } = filled([bed('a')], {}, 0);
    expect(placesOf(layout)).toEqual([]);
    expect(tries.most).toBe(0);
  });

  it('has what was booked for it in the supply and in its water', () => {
    const { layout } = filled([exact({ lossMm: lost(40) })]);
    expect(placesOf(layout)).toEqual(['a 80:3']);
    expect(layout.timeline.starts).toEqual([at(80)]);
    expect(layout.timeline.water.bookedL).toBeCloseTo(600, 9);
    const [laid] = layout.beds;
    expect(laid?.cost.minutesBelowDryLimit).toBe(0);
    // Six minutes reach into a second step.
    expect(marginAt(laid?.balance, 18)).toBeCloseTo(1.5 - 2 / 16, 9);
    expect(laid?.cycles[0]?.drainedMm).toBe(0);
  });
});

function marginAt(balance: BedBalance | undefined, step: number): number | undefined {
  return balance === undefined ? undefined : seriesOf(balance).marginMm[step];
}
