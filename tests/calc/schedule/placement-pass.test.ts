import { describe, expect, it } from 'vitest';
import {
  dueAfter,
  dueOf,
  firstDueFrom,
  placementPass,
  restedFromMs,
} from '../../../calc/schedule/placement-pass.ts';
import { supplyTimeline } from '../../../calc/schedule/supply-timeline.ts';
import { at, type HandBed, handInput, minutesOf } from '../../laid-day.ts';

type Change = Parameters<typeof handInput>[1];

/** Sums of halves: 1 mm comes to its reserve of 0.3 at 56 min of 160; a turn of two minutes brings half a one. */
const bed = (id: string, change: Partial<HandBed> = {}): HandBed => ({
  id,
  stations: [{ precipitationRateMmPerH: 15 }],
  lossMm: (step) => (step < 32 ? 1 / 16 : 0),
  ...change,
});
const onePump = { limits: { pumpFlowLPerMin: 150 } };

const passed = (beds: readonly HandBed[], change: Change = {}) =>
  placementPass(handInput(beds, change)).cycles.map(
    ({ bedId, startMs, block }) => `${bedId} ${minutesOf(startMs)}:${block.rotations}`,
  );
const kept = (bedId: string, endMin: number) => ({
  ...{ bedId, startMs: at(endMin - 2), endMs: at(endMin), grossMm: 0.5, netMm: 0.5, rotations: 1 },
  driftLossFraction: 0,
  runs: [
    {
      ...{ bedId, stationId: `${bedId}-0`, startMs: at(endMin - 2), runS: 120, cycle: 1 },
      ...{ rotations: 1, grossMm: 0.5, netMm: 0.5 },
    },
  ] as never,
});

describe('the first pass over a day', () => {
  it('waters a bed when it comes to its reserve, with the turns that its room takes', () => {
    // Room of 1.1875 mm at 56 min for two turns; 1.7 mm last until 136; one turn carries it over the night.
    expect(passed([bed('a')])).toEqual(['a 56:2', 'a 136:1']);
    expect(passed([bed('a', { doseCapMm: 0.5 })])).toEqual(['a 56:1', 'a 96:1', 'a 136:1']);
  });

  it('gives no more into the night than lasts', () => {
    const lossMm = (step: number) => (step < 24 ? 1 / 16 : 0);
    expect(passed([bed('a', { lossMm })])).toEqual(['a 56:2']);
    const shorter = (step: number) => (step < 18 ? 1 / 16 : 0);
    expect(passed([bed('a', { lossMm: shorter })])).toEqual(['a 56:1']);
  });

  it('slides a cycle earlier where the supply is taken, the first by id served first', () => {
    expect(passed([bed('b'), bed('a')], onePump).slice(0, 2)).toEqual(['b 52:2', 'a 56:2']);
    const sooner = [bed('b', { storeMm: 0.9375 }), bed('a')];
    // The drier one is due at 51 and runs until 55.
    expect(passed(sooner, onePump).slice(0, 2)).toEqual(['b 51:2', 'a 56:2']);
  });

  it('slides it later where there is no room before', () => {
    const off = bed('a', { keepOffs: [[0, 70, 'mow']] });
    expect(passed([off])[0]).toBe('a 70:2');
  });

  it('leaves water that runs already its place, and the bed its rest', () => {
    const runs = [kept('b', 58)];
    // From 56 to 58 another runs; a start at 52 ends in time.
    const both = [bed('a'), bed('b', { lossMm: () => 0 })];
    expect(passed(both, { ...onePump, kept: runs })[0]).toBe('a 52:2');
    expect(passed([bed('a')], { kept: [kept('a', 31)] })[0]).toBe('a 61:2');
    expect(passed([bed('a')], { kept: [kept('a', 26)] })[0]).toBe('a 56:2');
  });
});

describe('what a bed’s first cycle is reckoned from', () => {
  const from = (change: Change, leastCycles = 0) =>
    firstDueFrom(handInput([bed('a', { leastCycles }), bed('b')], change), 'a');

  it('is the plan’s start, or the end of its rest', () => {
    expect(from({})).toEqual({ fromMs: at(0), cyclesDone: 0 });
    expect(from({ startMs: at(7) }).fromMs).toBe(at(7));
    expect(from({ kept: [kept('a', 10), kept('a', 4), kept('b', 50)] }).fromMs).toBe(at(40));
    expect(from({ kept: [kept('a', -40)] }).fromMs).toBe(at(0));
    const before = {
      dayL: 0,
      seasonL: 0,
      pumpStoppedMs: null,
      bedEndsMs: new Map([['a', at(12)]]),
    };
    expect(from({ before }).fromMs).toBe(at(42));
    expect(from({ before, kept: [kept('a', 10)] }).fromMs).toBe(at(42));
    expect(restedFromMs(handInput([bed('a')], { before }), 'a')).toBe(at(42));
  });

  it('counts as many cycles done as would have been due by then', () => {
    // Three in three hours: one in each.
    const done = (endMin: number) => from({ kept: [kept('a', endMin)] }, 3).cyclesDone;
    expect([-70, -1, 0, 59, 60, 120].map(done)).toEqual([0, 0, 1, 1, 2, 3]);
    expect(from({ kept: [kept('a', 59)] }).cyclesDone).toBe(1);
  });

  it('is, for the next one, the end of the rest and one more', () => {
    expect(dueAfter(at(10), { fromMs: 0, cyclesDone: 2 }, { restMin: 30 })).toEqual({
      fromMs: at(40),
      cyclesDone: 3,
    });
  });
});

describe('when a bed is owed its next cycle', () => {
  const due = (change: Partial<HandBed>) => {
    const input = handInput([bed('a', change)]);
    const [placing] = input.beds;
    if (placing === undefined) throw new Error('no bed');
    const timeline = supplyTimeline(input.limits, { startMs: at(0), endMs: at(180) });
    const found = dueOf(placing, { ...input, timeline }, { fromMs: at(0), cyclesDone: 0 });
    return found === null ? null : [minutesOf(found.earliestMs), minutesOf(found.latestMs)];
  };

  it('is at its reserve, less the wait of its last station, and earlier once a turn fits', () => {
    expect(due({})).toEqual([0, 56]);
    expect(due({ storeMm: 1.25 })?.[0]).toBe(20);
    expect(due({ storeMm: 1.25 })?.[1]).toBeCloseTo(76, 9);
    expect(due({ lossMm: () => 1 / 128 })).toBeNull();
  });

  it('is sooner where it gets more cycles than it needs', () => {
    const least = due({ leastCycles: 9 });
    expect(least?.[1]).toBeLessThan(56);
  });
});
