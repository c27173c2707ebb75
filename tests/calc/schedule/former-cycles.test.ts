import { describe, expect, it, vi } from 'vitest';
import type { DayLayout } from '../../../calc/schedule/day-layout.ts';
import { type FormerCycle, keepFormerPlaces } from '../../../calc/schedule/former-places.ts';
import { at, type HandBed, laidDay, placesOf } from '../../laid-day.ts';

type Change = Parameters<typeof laidDay>[1];

/** A former cycle of a bed's first station, and of its second. */
const former = (bedId: string, minute: number, ...turns: number[]): FormerCycle => ({
  bedId,
  startMs: at(minute),
  runs: turns.map((rotations, index) => ({ stationId: `${bedId}-${index}`, rotations })),
});

function kept(
  beds: readonly HandBed[],
  formers: readonly FormerCycle[],
  change: Change = {},
  settle: (layout: DayLayout) => void = () => {},
) {
  const layout = laidDay(beds, change);
  keepFormerPlaces(layout, formers, settle);
  return layout;
}
const placed = (...given: Parameters<typeof kept>) => placesOf(kept(...given));

/** 1.2 mm are lost in two hours, of which 1 is there: a turn at 70 min is enough, and no bed gets dry. */
const lossMm = (step: number) => (step < 24 ? 0.05 : 0);
const moist = (id: string, change: Partial<HandBed> = {}): HandBed => ({
  id,
  lossMm,
  cycles: [[70]],
  ...change,
});

describe('a bed that is nowhere dry', () => {
  it('goes back to where the plan in force has its cycle', () => {
    const layout = kept([moist('a')], [former('a', 60, 1)]);
    expect(placesOf(layout)).toEqual(['a 60:1']);
    expect(layout.beds[0]?.cycles[0]?.movedFor).toBe('former');
    expect(layout.timeline.starts).toEqual([at(60)]);
    expect(placed([moist('a')], [])).toEqual(['a 70:1']);
    expect(placed([moist('a'), moist('b')], [former('b', 80, 1)])).toEqual(['a 70:1', 'b 80:1']);
  });

  it('stays where keep-offs, hours, its rest or the plan’s start forbid its former cycle', () => {
    const off = moist('a', { keepOffs: [[55, 61, 'mow']] });
    expect(placed([off], [former('a', 60, 1)])).toEqual(['a 70:1']);
    expect(placed([off], [former('a', 61, 1)])).toEqual(['a 61:1']);
    const hours = { firstStartMs: at(60), lastEndMs: at(80), nextFirstStartMs: at(240) };
    const within = (minute: number) =>
      placed([moist('a')], [former('a', minute, 1)], { window: hours });
    expect(within(59.5)).toEqual(['a 70:1']);
    expect(within(60)).toEqual(['a 60:1']);
    expect(within(78)).toEqual(['a 78:1']);
    expect(within(78.5)).toEqual(['a 70:1']);
    const two = (minute: number) =>
      placed([moist('a')], [former('a', minute, 1), former('a', 50, 1)]);
    expect(two(81.5), 'half a minute less than half an hour').toEqual(['a 70:1']);
    expect(two(82)).toEqual(['a 50:1', 'a 82:1']);
  });

  it('leaves out what began before the plan', () => {
    const begun = { startMs: at(40) };
    const formers = [former('a', 39.5, 1), former('a', 60, 1)];
    expect(placed([moist('a')], formers, begun)).toEqual(['a 60:1']);
    expect(placed([moist('a')], [former('a', 40, 1)], begun)).toEqual(['a 40:1']);
  });

  it('stays where the former dose would pass its cap, or cannot be run so', () => {
    expect(placed([moist('a', { doseCapMm: 1.2 })], [former('a', 80, 2)])).toEqual(['a 80:2']);
    expect(placed([moist('a', { doseCapMm: 1.1 })], [former('a', 80, 2)])).toEqual(['a 70:1']);
    const runs = { limits: { mostRunS: 200 } };
    expect(placed([moist('a')], [former('a', 80, 2)], runs)).toEqual(['a 70:1']);
    const stations = [{}, {}];
    const missing = { ...former('a', 80, 1, 1), runs: [{ stationId: 'a-0', rotations: 1 }] };
    expect(placed([moist('a', { stations })], [former('a', 80, 1, 2)])).toEqual(['a 80:1/2']);
    expect(placed([moist('a', { stations })], [missing])).toEqual(['a 70:1/1']);
  });

  it('gets one cycle more for it, and no two', () => {
    const small = [{ precipitationRateMmPerH: 9 }];
    const bed = moist('a', { stations: small });
    const at2 = [former('a', 50, 1), former('a', 90, 1)];
    expect(placed([bed], at2)).toEqual(['a 50:1', 'a 90:1']);
    expect(placed([bed], [...at2, former('a', 130, 1)])).toEqual(['a 70:1']);
  });

  it('gives up its place for a fiftieth of a millimetre that would drain', () => {
    // Room of 0.6 mm less what the five minutes take: 0.01, 0.03 mm too little.
    expect(placed([moist('a', { storeMm: 0.96 })], [former('a', 0, 1)])).toEqual(['a 0:1']);
    expect(placed([moist('a', { storeMm: 0.98 })], [former('a', 0, 1)])).toEqual(['a 70:1']);
  });

  it('may be below its reserve for a quarter of an hour longer', () => {
    // Two turns keep it above 0.3 mm; one turn of a smaller head leaves it below for the last steps.
    const day = (rateMmPerH: number) => {
      const stations = [{ precipitationRateMmPerH: rateMmPerH }];
      return placed([moist('a', { stations, cycles: [[70, 2]] })], [former('a', 60, 1)]);
    };
    // With 0.31 mm more 0.26 are left at 105 min: three steps are below it; with 0.28 mm four.
    expect(day(9.3)).toEqual(['a 60:1']);
    expect(day(8.4)).toEqual(['a 70:2']);
  });

  it('has others find new places among those that have gone back', () => {
    const onePump = { limits: { pumpFlowLPerMin: 150 } };
    const beds = [moist('a'), moist('b', { cycles: [[80]] })];
    expect(placed(beds, [former('a', 79, 1)], onePump)).toEqual(['a 79:1', 'b 70:1']);
    const both = [former('a', 80, 1), former('b', 70, 1)];
    expect(placed(beds, both, onePump)).toEqual(['a 80:1', 'b 70:1']);
  });
});

describe('a day with a dry bed', () => {
  /** 1 mm is gone at 100 min of 240, with a turn more at 160. */
  const dry = (id: string, ...cycles: [number, ...number[]][]): HandBed => ({ id, cycles });

  it('goes back whole where that leaves beds dry for less time, with what still fits', () => {
    const settle = vi.fn();
    const layout = kept([dry('a', [70])], [former('a', 80, 2)], {}, settle);
    expect(placesOf(layout)).toEqual(['a 80:2']);
    expect(settle).toHaveBeenCalledTimes(1);
    const more = [former('a', 80, 2), former('b', 90, 1)];
    const whole = kept([dry('a', [70]), dry('b', [70])], more);
    expect(placesOf(whole)).toEqual(['a 80:2', 'b 90:1']);
    expect(whole.timeline.starts).toEqual([at(80), at(90)]);
    expect(whole.timeline.water.bookedL).toBeCloseTo(600, 9);
  });

  it('stays where the former places would leave it dry in between', () => {
    // Sums of halves: 1 mm is gone at 80 min to the bit, with half a one more at 120.
    const stations = [{ precipitationRateMmPerH: 15 }];
    const exact: HandBed = { ...dry('a', [70]), stations, lossMm: () => 1 / 16 };
    expect(placed([exact], [former('a', 86, 1)])).toEqual(['a 70:1']);
    expect(placed([exact], [former('a', 76, 1)])).toEqual(['a 76:1']);
  });

  it('stays within the water that may run', () => {
    const allowed = (dayAllowanceL: number) => ({ limits: { dayAllowanceL } });
    expect(placed([dry('a', [70])], [former('a', 80, 2)], allowed(399))).toEqual(['a 70:1']);
    expect(placed([dry('a', [70])], [former('a', 80, 2)], allowed(400))).toEqual(['a 80:2']);
  });

  it('leaves the supply as it was where a former cycle has no place', () => {
    const off: HandBed = { ...dry('a', [70]), keepOffs: [[85, 100, 'mow']] };
    const layout = kept([off], [former('a', 40, 1), former('a', 90, 2)]);
    expect(placesOf(layout)).toEqual(['a 70:1']);
    expect(layout.timeline.starts).toEqual([at(70)]);
    expect(layout.timeline.water.bookedL).toBeCloseTo(200, 9);
  });
});

describe('a day with more beds than can be laid anew', () => {
  /** Beds that need their cycles, one after the other, and stand in no former plan. */
  const others = (count: number) =>
    Array.from({ length: count }, (_, index) =>
      moist(`x${String(index).padStart(2, '0')}`, { cycles: [[30 + 2 * index]] }),
    );
  const onePump = { limits: { pumpFlowLPerMin: 150 } };
  const some = (count: number, formers: readonly FormerCycle[]) => {
    const beds = [moist('b', { cycles: [[82]] }), moist('a', { cycles: [[80]] }), ...others(count)];
    const layout = kept(beds, formers, onePump);
    const places = placesOf(layout);
    expect(layout.timeline.starts).toHaveLength(places.length);
    return { own: places.slice(0, 2), others: places.slice(2) };
  };
  const standing = placesOf(laidDay(others(25), onePump));

  it('has bed after bed go back, the first by id first, and the others stay', () => {
    // Both were at 84: only one can be there.
    expect(some(25, [former('a', 84, 1), former('b', 84, 1)])).toEqual({
      own: ['b 82:1', 'a 84:1'],
      others: standing,
    });
  });

  it('has a bed go back whose place another has left', () => {
    expect(some(25, [former('a', 82, 1), former('b', 86, 1)])).toEqual({
      own: ['b 86:1', 'a 82:1'],
      others: standing,
    });
  });
});

describe('a bed whose place another had', () => {
  it('stays where the other has no place besides, and a third goes back all the same', () => {
    const narrow = moist('b', {
      cycles: [[50]],
      keepOffs: [
        [0, 50, 'mow'],
        [53, 240, 'roll'],
      ],
    });
    const beds = [moist('a'), narrow, moist('c')];
    const formers = [former('a', 51, 1), former('c', 74, 1)];
    const layout = kept(beds, formers, { limits: { pumpFlowLPerMin: 150 } });
    expect(placesOf(layout)).toEqual(['a 70:1', 'b 50:1', 'c 74:1']);
    expect(layout.beds.map((bed) => bed.cost.minutesBelowDryLimit)).toEqual([0, 0, 0]);
  });
});
