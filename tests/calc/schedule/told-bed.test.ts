import { describe, expect, it } from 'vitest';
import { seriesOf } from '../../../calc/schedule/bed-balance.ts';
import { drainedFor } from '../../../calc/schedule/bed-moisture.ts';
import { cyclesWithReasons } from '../../../calc/schedule/cycle-reasons.ts';
import { supplyLoad } from '../../../calc/schedule/supply-timeline.ts';
import { at, type HandBed, laidDay } from '../../laid-day.ts';

type Change = Parameters<typeof laidDay>[1];

/** The reasons of the first bed's cycles. */
function reasonsOf(
  beds: readonly HandBed[],
  change: Change = {},
  movedFor: 'level' | 'former' | 'lull' | null = null,
) {
  const layout = laidDay(beds, change);
  const [bed] = layout.beds;
  if (bed === undefined) throw new Error('no bed');
  const told = cyclesWithReasons(layout, {
    ...bed,
    cycles: bed.cycles.map((one) => ({ ...one, movedFor })),
  });
  return told.map((cycle) => cycle.reasons);
}

/** 1 mm comes down to its reserve of 0.3 mm at 70 min. */
const atReserve = { code: 'store_at_reserve', atMs: at(70) };
/** Room for one station at a time. */
const onePump = { limits: { pumpFlowLPerMin: 150 } };
const a = (...cycles: [number, ...number[]][]): HandBed => ({ id: 'a', cycles });
const b = (...cycles: [number, ...number[]][]): HandBed => ({ id: 'b', cycles });

describe('why a cycle stands where it does', () => {
  it('is its need alone at the latest safe start, and a minute beside it', () => {
    expect(reasonsOf([a([70])])).toEqual([[atReserve]]);
    expect(reasonsOf([a([69])])).toEqual([[atReserve]]);
    expect(reasonsOf([a([71])])).toEqual([[atReserve]]);
    expect(reasonsOf([a([80])]), 'nothing stood in its way').toEqual([[atReserve]]);
  });

  it('is what is booked anew for each cycle, with its rest from the one before', () => {
    // 0.3 + 0.6 mm last from 70 min until the reserve is reached again at 130.
    const second = { code: 'store_at_reserve', atMs: at(130) };
    expect(reasonsOf([a([70], [130])])).toEqual([[atReserve], [second]]);
    // The last of two stations waits a minute: what is due by then is late where the bed rests.
    const two: HandBed = { ...a([10, 1, 1], [43, 1, 1]), stations: [{}, {}], storeMm: 0.2 };
    const change = {
      limits: { startGapS: 60 },
      window: { firstStartMs: at(10), lastEndMs: at(180), nextFirstStartMs: at(240) },
    };
    const lossMm = (step: number) => (step < 9 ? 0.1 : 0.05);
    expect(reasonsOf([{ ...two, lossMm }], change)).toEqual([
      [{ code: 'first_of_day' }],
      [{ code: 'rested_first', restMin: 30 }],
    ]);
  });

  it('is the rest of a bed that comes off it at its reserve, up to two minutes later', () => {
    const lossMm = (step: number) => (step < 9 ? 0.1 : 0.05);
    const two = (minute: number): HandBed => ({
      ...a([10, 1, 1], [minute, 1, 1]),
      stations: [{}, {}],
      storeMm: 0.2,
      lossMm,
    });
    const limits = { startGapS: 60 };
    const rested = { code: 'rested_first', restMin: 30 };
    expect(reasonsOf([two(45)], { limits })[1]).toEqual([rested]);
    expect(reasonsOf([two(45.5)], { limits })[1]).toEqual([
      { code: 'store_at_reserve', atMs: at(43) },
    ]);
    // Water of the plan in force ended at 10 min.
    const kept = [
      {
        ...{ bedId: 'a', startMs: at(7), endMs: at(10), grossMm: 1, netMm: 1, rotations: 1 },
        ...{ driftLossFraction: 0, runs: [] },
      },
    ];
    const dry: HandBed = { ...a([40, 1, 1]), stations: [{}, {}], storeMm: 0.2 };
    expect(reasonsOf([dry], { limits, kept })).toEqual([[rested]]);
    const late = reasonsOf([dry], { limits, startMs: at(40) });
    expect(late).toEqual([[{ code: 'store_at_reserve', atMs: at(40) }]]);
  });

  it('is the reserve alone where tomorrow’s first water would be in time for it', () => {
    const window = { firstStartMs: at(0), lastEndMs: at(60), nextFirstStartMs: at(65) };
    expect(reasonsOf([a([50])], { window })).toEqual([[atReserve]]);
  });

  it('is the supply that was taken at every later start, or at every one before', () => {
    const pump = { kind: 'pump' };
    expect(reasonsOf([a([66]), b([68], [70])], onePump)).toEqual([
      [atReserve, { code: 'earlier_for_supply', limit: pump, minutes: 4 }],
    ]);
    expect(reasonsOf([a([66]), b([68])], onePump), 'free at 70').toEqual([[atReserve]]);
    // It could have begun at 68.
    expect(reasonsOf([a([66]), b([70])], onePump)).toEqual([[atReserve]]);
    expect(reasonsOf([a([74]), b([70], [72])], onePump)).toEqual([
      [atReserve, { code: 'later_for_supply', limit: pump, minutes: 4 }],
    ]);
    expect(reasonsOf([a([74]), b([72])], onePump), 'free at 70').toEqual([[atReserve]]);
    expect(reasonsOf([a([72]), b([70])], onePump)).toEqual([
      [atReserve, { code: 'later_for_supply', limit: pump, minutes: 2 }],
    ]);
  });

  it('is a keep-off before which it had to end, or after which it could begin', () => {
    const off = (fromMin: number, toMin: number): HandBed => ({
      ...a([60]),
      keepOffs: [[fromMin, toMin, 'mow']],
    });
    expect(reasonsOf([off(62, 90)])).toEqual([
      [atReserve, { code: 'before_keep_off', why: 'mow', startMs: at(62) }],
    ]);
    const twice: HandBed = {
      ...a([60]),
      keepOffs: [
        [20, 30, 'mow'],
        [62, 90, 'mow'],
      ],
    };
    expect(reasonsOf([twice])).toEqual(reasonsOf([off(62, 90)]));
    expect(reasonsOf([off(64, 90)]), 'later by two minutes was free').toEqual([[atReserve]]);
    expect(reasonsOf([{ ...off(60, 90), cycles: [[90]] }])).toEqual([
      [atReserve, { code: 'after_keep_off', why: 'mow', endMs: at(90) }],
    ]);
    expect(reasonsOf([{ ...off(71.5, 90), cycles: [[90]] }])).toEqual([
      [atReserve, { code: 'after_keep_off', why: 'mow', endMs: at(90) }],
    ]);
    expect(reasonsOf([{ ...off(72, 90), cycles: [[90]] }]), 'free at 70').toEqual([[atReserve]]);
  });

  it('is the place that it had, or a lull of the wind', () => {
    expect(reasonsOf([a([60])], {}, 'former')).toEqual([
      [atReserve, { code: 'earlier_as_before', minutes: 10 }],
    ]);
    const isWindyAt = (ms: number) => ms >= at(65);
    expect(reasonsOf([a([60])], { isWindyAt })).toEqual([
      [atReserve, { code: 'earlier_for_lull', minutes: 10 }],
    ]);
    expect(reasonsOf([a([66])], { isWindyAt }), 'windy there too').toEqual([[atReserve]]);
    expect(reasonsOf([a([60])], { isWindyAt: () => false })).toEqual([[atReserve]]);
  });

  it('is a pump that has less to do, by more than a litre', () => {
    const level = [atReserve, { code: 'earlier_to_level', minutes: 10 }];
    expect(reasonsOf([a([60]), b([70])], {}, 'level')).toEqual([level]);
    expect(reasonsOf([a([60]), b([70])])).toEqual([[atReserve]]);
    expect(reasonsOf([a([60]), b([60])], {}, 'level')).toEqual([[atReserve]]);
    expect(reasonsOf([a([60]), b([60], [70])], {}, 'level'), 'as much').toEqual([[atReserve]]);
    const trickle = (flowLPerMin: number) => ({ ...b([70]), stations: [{ flowLPerMin }] });
    expect(reasonsOf([a([60]), trickle(0.5)], {}, 'level'), '1 L').toEqual([[atReserve]]);
    expect(reasonsOf([a([60]), trickle(0.6)], {}, 'level'), '1.2 L').toEqual([level]);
    // Half a minute of the other falls into its time at 70, and a quarter of a minute.
    const late = { ...b([71.5]), stations: [{ flowLPerMin: 2.1 }] };
    expect(reasonsOf([a([60]), late], {}, 'level'), '1.05 L').toEqual([level]);
    const later = { ...b([71.5]), stations: [{ flowLPerMin: 1.95 }] };
    expect(reasonsOf([a([60]), later], {}, 'level'), '0.98 L').toEqual([[atReserve]]);
    const early = { ...b([68]), stations: [{ flowLPerMin: 4.2, rotationS: 135 }] };
    expect(reasonsOf([a([60]), early], {}, 'level'), '1.05 L').toEqual([level]);
  });

  it('does not count its bed’s own other water as the pump’s work', () => {
    const lossMm = (step: number) => (step < 14 ? 0.05 : 0.3);
    const [first] = reasonsOf([{ ...a([60], [70]), lossMm }], { limits: { restMin: 0 } }, 'level');
    expect(first).toEqual([atReserve, { code: 'earlier_for_day', minutes: 10 }]);
  });

  it('takes exactly its bed’s own other water out of that', () => {
    const lossMm = (step: number) => (step < 14 ? 0.05 : 0.3);
    const own: HandBed = { ...a([60, 1, 1], [70, 1, 1]), stations: [{}, {}], lossMm };
    const limits = { restMin: 0, startGapS: 40, pumpFlowLPerMin: 999 };
    const first = (flowLPerMin: number) =>
      reasonsOf([own, { ...b([69]), stations: [{ flowLPerMin }] }], { limits }, 'level')[0]?.[1];
    // It wants to start at 69 min, so that the station that waits for 40 s is in time; the second
    // cycle's two then run for 100 and 60 s of its 160.
    expect(first(0.45), '0.9 L').toEqual({ code: 'earlier_for_day', minutes: 9 });
    expect(first(0.55), '1.1 L').toEqual({ code: 'earlier_to_level', minutes: 9 });
  });

  it('is room for the cycles after it, where there are some and nothing else is seen', () => {
    const [first] = reasonsOf([a([60], [130])]);
    expect(first).toEqual([atReserve, { code: 'earlier_for_day', minutes: 10 }]);
    expect(reasonsOf([a([68], [130])])[0]).toEqual([
      atReserve,
      { code: 'earlier_for_day', minutes: 2 },
    ]);
  });

  it('is the least number of cycles where the bed needs none', () => {
    const still: HandBed = { ...a([60]), lossMm: () => 0.01 };
    expect(reasonsOf([{ ...still, leastCycles: 3 }])).toEqual([
      [{ code: 'least_cycles', cycles: 3 }],
    ]);
    expect(reasonsOf([{ ...still, leastCycles: 1 }])).toEqual([
      [{ code: 'least_cycles', cycles: 1 }],
    ]);
    expect(reasonsOf([{ ...still, leastCycles: 0 }])).toEqual([[]]);
    expect(reasonsOf([still])).toEqual([[]]);
  });
});

describe('why a cycle brings so much', () => {
  it('is a person’s multiplier, the rotation that is too much, or the cap', () => {
    const longer = { ...a([70]), stations: [{ runTimeMultiplierFraction: 1.25 }] };
    expect(reasonsOf([longer])).toEqual([[atReserve, { code: 'for_driest', wasteMm: 0 }]]);
    // Room of 0.5 - 0.1 mm at 70 min for 0.6 mm, of which 0.15 drain.
    const shallow: HandBed = { ...a([40]), capacityMm: 0.5, storeMm: 0.5 };
    expect(reasonsOf([shallow])).toEqual([
      [
        { code: 'store_at_reserve', atMs: at(40) },
        { code: 'rotation_exceeds_store', wasteMm: expect.closeTo(0.15, 9) },
      ],
    ]);
    // 0.061 mm drain, and 0.03 mm.
    const [, little] = reasonsOf([{ ...shallow, cycles: [[50]], lossMm: () => 0.049 }])[0] ?? [];
    expect(little).toEqual({ code: 'rotation_exceeds_store', wasteMm: expect.closeTo(0.061, 9) });
    const hardly: HandBed = { ...a([90]), capacityMm: 0.6, storeMm: 0.6, lossMm: () => 0.03 };
    expect(reasonsOf([hardly])[0]?.map(({ code }) => code)).not.toContain('rotation_exceeds_store');
    const halves = { stations: [{ precipitationRateMmPerH: 15 }], lossMm: () => 1 / 16 };
    expect(reasonsOf([{ ...a([40]), ...halves, doseCapMm: 1 }])[0]).toHaveLength(1);
    expect(reasonsOf([{ ...a([70]), doseCapMm: 1 }])).toEqual([
      [atReserve, { code: 'held_at_cap', capMm: 1 }],
    ]);
    expect(reasonsOf([{ ...a([70]), doseCapMm: 1.25 }])).toEqual([[atReserve]]);
  });
});

describe('telling a bed', () => {
  it('leaves the supply and the bed’s water as they were', () => {
    const layout = laidDay([a([60], [130]), b([70])]);
    const [bed] = layout.beds;
    if (bed === undefined) throw new Error('no bed');
    const before = structuredClone({ ...layout.timeline });
    const storesMm = seriesOf(bed.placing.balance).marginMm.slice();
    const told = cyclesWithReasons(layout, bed);
    expect(layout.timeline).toEqual(before);
    expect(seriesOf(bed.placing.balance).marginMm).toEqual(storesMm);
    expect(told.map((one) => [one.bedId, one.startMs, one.drainedMm])).toEqual([
      ['a', at(60), 0],
      ['a', at(130), 0],
    ]);
    expect(supplyLoad(layout.timeline, told[0]?.block as never).waterL).toBeCloseTo(200, 9);
    expect(drainedFor(bed.balance)).toBe(0);
  });
});
