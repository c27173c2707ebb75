import { describe, expect, it } from 'vitest';
import { improve, pathsOf } from '../../../calc/schedule/improved-placement.ts';
import { at, type HandBed, handBed, laidDay, placesOf } from '../../laid-day.ts';

type Change = Parameters<typeof laidDay>[1];

/** Sums of halves: 1 mm is gone at 80 min of 160; a turn of two minutes brings half a one. */
const bed = (id: string, change: Partial<HandBed> = {}): HandBed => ({
  id,
  stations: [{ precipitationRateMmPerH: 15 }],
  lossMm: (step) => (step < 32 ? 1 / 16 : 0),
  ...change,
});
const onePump = { limits: { pumpFlowLPerMin: 150 } };

function improved(beds: readonly HandBed[], change: Change = {}, mostPaths = 24) {
  const layout = laidDay(beds, change);
  improve(layout, mostPaths);
  return layout;
}
const shortMin = (layout: ReturnType<typeof improved>) =>
  layout.beds.map((one) => one.cost.minutesBelowReserve);

describe('a day with a short bed', () => {
  it('has that bed laid anew by itself', () => {
    const layout = improved([bed('a', { cycles: [[100]] })]);
    expect(shortMin(layout)).toEqual([0]);
    expect(layout.timeline.starts).toHaveLength(layout.beds[0]?.cycles.length ?? 0);
    expect(layout.timeline.starts[0]).toBeLessThan(at(80));
  });

  it('is left as it is where no bed may be laid anew', () => {
    expect(placesOf(improved([bed('a', { cycles: [[100]] })], {}, 0))).toEqual(['a 100:1']);
    // The bed itself counts, and its way alone, before any is laid.
    expect(placesOf(improved([bed('a', { cycles: [[100]] })], {}, 1))).toEqual(['a 100:1']);
    expect(shortMin(improved([bed('a', { cycles: [[100]] })], {}, 2))).toEqual([0]);
  });

  it('is left as it is where the bed would be as short with all of the supply', () => {
    const off = bed('a', { keepOffs: [[0, 240, 'mow']] });
    const layout = improved([off]);
    expect(placesOf(layout)).toEqual([]);
    expect(shortMin(layout)[0]).toBeGreaterThan(0);
  });

  it('has a neighbour give way that has another place', () => {
    // The one can drink from 50 to 56 min only; the other has taken that.
    const narrow = bed('a', {
      keepOffs: [
        [0, 50, 'mow'],
        [54, 240, 'roll'],
      ],
      lossMm: (step) => (step < 21 ? 1 / 16 : 0),
    });
    const other = bed('b', { cycles: [[50, 2], [110]] });
    const alone = laidDay([narrow, other], onePump);
    expect(shortMin(alone)[0]).toBeGreaterThan(0);
    const layout = improved([narrow, other], onePump);
    expect(shortMin(layout)).toEqual([0, 0]);
    expect(placesOf(layout)[0]).toBe('a 50:2');
    expect(layout.timeline.starts).toHaveLength(layout.beds.flatMap((one) => one.cycles).length);
    expect(layout.timeline.water.bookedL).toBeCloseTo(
      layout.beds
        .flatMap((one) => one.cycles)
        .reduce((sum, { block }) => sum + 200 * block.rotations, 0),
      9,
    );
  });

  it('leaves a neighbour alone that stands for the least number of its cycles', () => {
    const narrow = bed('a', {
      keepOffs: [
        [0, 50, 'mow'],
        [54, 240, 'roll'],
      ],
      lossMm: (step) => (step < 21 ? 1 / 16 : 0),
    });
    const other = bed('b', { cycles: [[50, 2], [110]], leastCycles: 2 });
    expect(placesOf(improved([narrow, other], onePump))).toEqual(['b 50:2', 'b 110:1']);
  });

  it('stays within the water that may run', () => {
    const allowed = (dayAllowanceL: number) => ({ limits: { dayAllowanceL } });
    const beds = [bed('a', { cycles: [[100]] })];
    const layout = improved(beds, allowed(200));
    expect(layout.timeline.water.bookedL).toBeCloseTo(200, 9);
    expect(layout.beds[0]?.cost.minutesBelowDryLimit).toBeLessThanOrEqual(
      laidDay(beds, allowed(200)).beds[0]?.cost.minutesBelowDryLimit ?? 0,
    );
  });
});

describe('what laying a bed anew counts for', () => {
  it('is one where its way is exact, and twelve where it is a proposal', () => {
    const { balance } = handBed(bed('a'));
    expect(pathsOf(balance)).toBe(1);
    expect(pathsOf({ ...balance, store: { ...balance.store, isAdditive: false } })).toBe(12);
  });
});
