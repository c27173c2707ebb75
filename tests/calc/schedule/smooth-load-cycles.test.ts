import { describe, expect, it } from 'vitest';
import { smoothLoad } from '../../../calc/schedule/smooth-load.ts';
import { at, type HandBed, laidDay, placesOf } from '../../laid-day.ts';

type Change = Parameters<typeof laidDay>[1];

function levelled(beds: readonly HandBed[], change: Change = {}) {
  const layout = laidDay(beds, change);
  smoothLoad(layout);
  return layout;
}
const placed = (beds: readonly HandBed[], change: Change = {}) => placesOf(levelled(beds, change));

/** Both at their reserve at 70 min, where a cycle of two minutes begins. */
const a = (change: Partial<HandBed> = {}): HandBed => ({ id: 'a', cycles: [[70]], ...change });
const b = (change: Partial<HandBed> = {}): HandBed => ({ id: 'b', cycles: [[70]], ...change });

describe('levelling two cycles of two minutes', () => {
  it('moves the first by id so far that the two minutes between are still', () => {
    const layout = levelled([b(), a()]);
    expect(placesOf(layout)).toEqual(['b 70:1', 'a 66:1']);
    expect(layout.beds.map((bed) => bed.cycles[0]?.movedFor)).toEqual([null, 'level']);
    expect(placed([a(), b()])).toEqual(['a 66:1', 'b 70:1']);
  });

  it('looks at them in order of time', () => {
    // At 68 min it still meets the one at 70 in the minutes beside it; that one then finds all still.
    expect(placed([a(), b({ cycles: [[69]] })])).toEqual(['a 70:1', 'b 66:1']);
  });

  it('moves none for less than a litre in a minute', () => {
    const trickle = (flowLPerMin: number) => b({ stations: [{ flowLPerMin }] });
    // Half of the other's flow is what is in the way at 70 min.
    expect(placed([a(), trickle(2.2)])).toEqual(['a 66:1', 'b 70:1']);
    expect(placed([a(), trickle(1.9)])[0]).toBe('a 70:1');
  });

  it('starts none before the day’s first start, the plan’s, or the bed’s rest', () => {
    const window = { firstStartMs: at(68), lastEndMs: at(180), nextFirstStartMs: at(240) };
    expect(placed([a(), b()], { window })).toEqual(['a 68:1', 'b 70:1']);
    expect(placed([a(), b()], { startMs: at(67.2) })).toEqual(['a 67.5:1', 'b 70:1']);
    // The cycle before ends at 37.5 min and half an hour of rest at 67.5.
    const rested = a({ storeMm: 0.6, cycles: [[35.5], [70]] });
    expect(placed([rested, b()])).toEqual(['a 35.5:1', 'a 67.5:1', 'b 63.5:1']);
  });

  it('moves none where a keep-off or the pump is in the way, and looks beyond', () => {
    const off = a({ keepOffs: [[64, 67, 'mow']] });
    expect(placed([off, b()])).toEqual(['a 62:1', 'b 70:1']);
    const short = a({ keepOffs: [[67.5, 70, 'mow']] });
    expect(placed([short, b()])).toEqual(['a 65.5:1', 'b 70:1']);
  });

  it('moves none to where the room is less than its dose', () => {
    // Room of 1.2 mm at 70 min, and 0.05 mm less five minutes before.
    expect(placed([a({ cycles: [[70, 2]] }), b({ cycles: [[70, 2]] })])).toEqual([
      'a 70:2',
      'b 70:2',
    ]);
    expect(placed([a({ cycles: [[75, 2]] }), b({ cycles: [[75, 2]] })])).toEqual([
      'a 70:2',
      'b 75:2',
    ]);
  });

  it('looks past a start without room as long as a tenth of the dose is all that is too much', () => {
    // 1.2 mm fit into 1.5 at 70 and, for the dew, at 60 min, but not in between.
    const dew = (dewMm: number) => (step: number) =>
      step === 12 ? 0.05 + dewMm : step === 13 ? 0.05 - dewMm : 0.05;
    const beds = [0.03, 0.3].map((dewMm) =>
      placed([a({ cycles: [[75, 2]], lossMm: dew(-dewMm) }), b({ cycles: [[75, 2]] })]),
    );
    expect(beds[0]?.[0]).toBe('a 70:2');
    expect(beds[1]?.[0]).toBe('a 70:2');
  });

  it('counts the dose before where that has been moved as water that the bed has', () => {
    // The one at 75 goes to 71; of what the one at 110 brings then, all has room.
    const layout = levelled([a({ cycles: [[75], [120]] }), b({ cycles: [[75], [120]] })]);
    expect(placesOf(layout)).toEqual(['a 71:1', 'a 116:1', 'b 75:1', 'b 120:1']);
    expect(layout.beds[0]?.cycles.map((one) => one.drainedMm)).toEqual([0, 0]);
  });
});

describe('levelling in other air', () => {
  /** Drier before 68 min. */
  const driftAt = (lossFraction: number) => (ms: number) => (ms < at(68) ? lossFraction : 0);
  /** Two hours of loss: no bed is short, however little less its dose brings. */
  const lossMm = (step: number) => (step < 24 ? 0.05 : 0);

  it('moves a dose that brings nearly as much, and tells what it brings there', () => {
    const layout = levelled([a({ lossMm }), b()], { driftAt: driftAt(0.02) });
    expect(placesOf(layout)[0]).toBe('a 66:1');
    const block = layout.beds[0]?.cycles[0]?.block;
    expect(block?.netMm).toBeCloseTo(0.6 * 0.98, 9);
    expect(block?.levelMm).toBeCloseTo(0.6 * 0.98, 9);
    expect(block?.grossMm).toBeCloseTo(0.6, 9);
    expect(block?.runs[0]?.netMm).toBeCloseTo(0.6 * 0.98, 9);
    expect(layout.beds[0]?.cycles[0]?.driftLossFraction).toBe(0.02);
  });

  it('leaves one that would bring noticeably less', () => {
    expect(placed([a({ lossMm }), b()], { driftAt: driftAt(0.035) })[0]).toBe('a 68:1');
    expect(placed([a({ lossMm }), b()], { driftAt: driftAt(0.03) })[0]).toBe('a 66:1');
  });

  it('gives up none that would pass the cap where less is lost', () => {
    const wet = (ms: number) => (ms < at(68) ? 0 : 0.2);
    const two = (doseCapMm: number) => [
      a({ cycles: [[90, 2]], doseCapMm }),
      b({ cycles: [[90, 2]], doseCapMm }),
    ];
    const air = { driftAt: (ms: number) => (ms < at(88) ? 0 : 0.2) };
    expect(placed(two(1.25), air)[0]).toBe('a 82:2');
    expect(placed(two(1.1), air)[0]).toBe('a 88:2');
    expect(placed([a(), b()], { driftAt: wet })[0]).toBe('a 66:1');
  });
});

describe('levelling out of other air', () => {
  it('tells what a dose is worth by the air that it leaves and the air that it meets', () => {
    const driftAt = (ms: number) => (ms < at(68) ? 0.01 : 0.02);
    const [first] = levelled([a(), b()], { driftAt }).beds[0]?.cycles ?? [];
    expect(first?.startMs).toBe(at(66));
    expect(first?.block.levelMm).toBeCloseTo(0.6 * 0.99, 9);
    expect(first?.block.netMm).toBeCloseTo(0.6 * 0.99, 9);
  });

  it('moves a dose that would bring a fiftieth of a millimetre too much, and no more', () => {
    // 0.588 mm become 0.6 mm before 68 min, where there is room for 0.585, or for 0.5785.
    const driftAt = (ms: number) => (ms < at(68) ? 0 : 0.02);
    const slow = (storeMm: number) => a({ storeMm, lossMm: () => 0.04 });
    expect(placed([slow(1.435), b()], { driftAt })[0]).toBe('a 66:1');
    expect(placed([slow(1.4415), b()], { driftAt })[0]).toBe('a 70:1');
  });
});

describe('levelling in wind', () => {
  it('goes to the latest calm start that is free, whatever the pump does', () => {
    const isWindyAt = (ms: number) => ms >= at(65);
    const layout = levelled([a(), { id: 'b', cycles: [[62]] }], { isWindyAt });
    expect(placesOf(layout)).toEqual(['a 58:1', 'b 62:1']);
    expect(layout.beds[0]?.cycles[0]?.movedFor).toBe('lull');
    const alone = levelled([a()], { isWindyAt });
    expect(placesOf(alone)).toEqual(['a 64.5:1']);
    expect(alone.beds[0]?.cycles[0]?.movedFor).toBe('lull');
  });

  it('leaves no calm start for a windy one', () => {
    const isWindyAt = (ms: number) => ms < at(68.5);
    expect(placed([a(), b()], { isWindyAt })[0]).toBe('a 68.5:1');
  });
});

describe('a bed that would fare worse for it', () => {
  /** What is given before 68 min brings less, and the bed is short for five minutes more. */
  const driftAt = (ms: number) => (ms < at(68) ? 0.02 : 0);
  const onePump = { driftAt, limits: { pumpFlowLPerMin: 150 } };
  // Its place four and more minutes before is all that is left beside its own.
  const first = a({ keepOffs: [[67, 70, 'mow']] });

  it('goes back to where its cycles stood', () => {
    const layout = levelled([first, b({ cycles: [[72]] })], onePump);
    expect(placesOf(layout)).toEqual(['a 70:1', 'b 72:1']);
    expect(layout.timeline.starts).toEqual([at(70), at(72)]);
    expect(layout.timeline.water.bookedL).toBeCloseTo(400, 9);
    expect(layout.beds[0]?.cycles[0]?.movedFor).toBeNull();
  });

  it('has all go back where another has come to its place', () => {
    const off = b({ cycles: [[72]], keepOffs: [[0, 69.5, 'mow']] });
    const layout = levelled([first, off, { id: 'c', cycles: [[74]] }], onePump);
    expect(placesOf(layout)).toEqual(['a 70:1', 'b 72:1', 'c 74:1']);
    expect(layout.timeline.starts).toEqual([at(70), at(72), at(74)]);
    expect(layout.timeline.water.bookedL).toBeCloseTo(600, 9);
    const calm = levelled([first, off, { id: 'c', cycles: [[74]] }], {
      limits: { pumpFlowLPerMin: 150 },
    });
    expect(placesOf(calm)).toEqual(['a 65:1', 'b 70:1', 'c 74:1']);
  });

  it('leaves the supply what it carried, elsewhere', () => {
    const layout = levelled([a(), b()]);
    const carried = layout.timeline.pump.bookedLPerMin;
    expect(Array.from(carried).reduce((sum, flow) => sum + flow, 0)).toBe(800);
    expect(layout.timeline.starts).toEqual([at(66), at(70)]);
    expect(layout.timeline.water.bookedL).toBeCloseTo(400, 9);
  });
});
