import { describe, expect, it } from 'vitest';
import {
  type BlockGround,
  blockOfTurns,
  cycleBlock,
  stationWaterOf,
  turnsLike,
} from '../../../calc/schedule/cycle-block.ts';
import { smallStation } from '../../small-day.ts';

/** A full circle that brings 0.6 mm a turn of 120 s, and a part circle that brings 0.5 mm in 50 s. */
const full = smallStation('full', {});
const part = smallStation('part', { precipitationRateMmPerH: 36, rotationS: 50 });

const ground = (change: Partial<BlockGround['limits']> = {}): BlockGround => ({
  stations: [full, part],
  driftLossFraction: 0,
  limits: {
    startGapS: 10,
    leastRunS: 30,
    mostRunS: 1800,
    runStepS: 1,
    stationOrder: 'together',
    pumpRiseLPerMin: null,
    ...change,
  },
});

const turnsOf = (asked: { netMm: number; drierMm?: number[]; capMm?: number }, own = ground()) =>
  cycleBlock({ ...own, ...asked }).runs.map((run) => run.rotations);

describe('a cycle of stations that differ', () => {
  it.each([
    [1.3, [2, 2], 'two turns are 1.2 mm, and two of the other nearer to it than three'],
    [2.0, [3, 4], 'three turns are 1.8 mm, four of the other 2.0 and nearer than three'],
    [1.9, [3, 3], 'as before, but four would pass the 1.9 mm that may be given'],
    [0.1, [1, 1], 'never less than one turn of each'],
    [0, [1, 1], 'nor where nothing is asked for'],
  ])('of %f mm runs %j turns: %s', (netMm, turns) => {
    expect(turnsOf({ netMm })).toEqual(turns);
  });

  it('gives a drier part as much more, within the cap', () => {
    expect(turnsOf({ netMm: 2, drierMm: [0, 0.5] })).toEqual([3, 5]);
    expect(turnsOf({ netMm: 2, drierMm: [0, 0.5], capMm: 2.2 })).toEqual([3, 4]);
    const block = cycleBlock({ ...ground(), netMm: 1.5, drierMm: [0.3, 0] });
    expect(block.runs.map((run) => run.rotations)).toEqual([3, 3]);
    // The lead's part is 0.3 mm drier: its three turns count as 1.5 mm at the wettest.
    expect(block.levelMm).toBeCloseTo(1.5, 9);
    expect(block.oneFewerMm).toBeCloseTo(0.9, 9);
    expect(block.oneMoreMm).toBeCloseTo(2.1, 9);
  });

  it('lets the others pass the room by no more than the lead’s one turn does', () => {
    // Three turns of the part, 1.5 mm, are nearest to its 1.3 mm and 0.2 mm beyond it: as much as
    // one turn of the lead is beyond 0.4 mm, and more than it is beyond 0.45 mm.
    expect(turnsOf({ netMm: 0.4, drierMm: [0, 0.9] })).toEqual([1, 3]);
    expect(turnsOf({ netMm: 0.45, drierMm: [0, 0.85] })).toEqual([1, 2]);
  });

  it('tells its depth, its length and the depths of one turn more and less', () => {
    const block = cycleBlock({ ...ground(), netMm: 2 });
    expect(block).toMatchObject({ rotations: 3, durationS: 360, leadS: 10 });
    expect(block.runs.map(({ offsetS, runS }) => [offsetS, runS])).toEqual([
      [0, 360],
      [10, 200],
    ]);
    expect(block.netMm).toBeCloseTo(1.9, 9);
    expect(block.grossMm).toBeCloseTo(1.9, 9);
    expect(block.levelMm).toBeCloseTo(1.8, 9);
    expect(block.oneFewerMm).toBeCloseTo(1.2, 9);
    expect(block.oneMoreMm).toBeCloseTo(2.4, 9);
    expect(stationWaterOf(block, 5000)).toEqual([
      { stationId: 'full', startMs: 5000, endMs: 365_000, netMm: block.runs[0]?.netMm },
      { stationId: 'part', startMs: 15_000, endMs: 215_000, netMm: block.runs[1]?.netMm },
    ]);
  });

  it('waits for each station in turn, for the gap of starts and for the pump to rise', () => {
    const offsets = (change: Partial<BlockGround['limits']>) =>
      cycleBlock({ ...ground(change), netMm: 2 }).runs.map((run) => run.offsetS);
    expect(offsets({ stationOrder: 'in_turn' })).toEqual([0, 360]);
    expect(offsets({ stationOrder: 'in_turn', startGapS: 400 })).toEqual([0, 400]);
    expect(offsets({ startGapS: 25 })).toEqual([0, 25]);
    expect(offsets({ pumpRiseLPerMin: 200 })).toEqual([0, 10]);
    expect(offsets({ pumpRiseLPerMin: 199 })).toEqual([0, 60]);
  });

  it('loses to drift what does not arrive, and gives more where a person multiplies', () => {
    const windy = cycleBlock({ ...ground(), driftLossFraction: 0.25, netMm: 1 });
    // A turn brings 0.45 mm: two of them 0.9, and of the other's 0.375 mm two are nearest.
    expect(windy.runs.map((run) => run.rotations)).toEqual([2, 2]);
    expect(windy.netMm).toBeCloseTo((0.9 + 0.75) / 2, 9);
    expect(windy.grossMm).toBeCloseTo((1.2 + 1) / 2, 9);
    const longer = smallStation('longer', { runTimeMultiplierFraction: 1.25 });
    const alike = cycleBlock({ ...ground(), stations: [longer, longer], netMm: 1.2 });
    // 1.5 mm in the wettest half for 1.2 that count: two turns, 0.96 mm by that count.
    expect(alike.runs.map((run) => run.rotations)).toEqual([2, 2]);
    expect(alike.levelMm).toBeCloseTo(0.96, 9);
    expect(alike.oneMoreMm).toBeCloseTo(1.44, 9);
    const mixed = cycleBlock({ ...ground(), stations: [longer, part], netMm: 1.2 });
    // The part circle now gives most in a turn, 0.5 against 0.48: two turns, 1.0 mm.
    expect(mixed.rotations).toBe(2);
    expect(mixed.levelMm).toBeCloseTo(1, 9);
    expect(mixed.runs.map((run) => run.rotations)).toEqual([2, 2]);
  });

  it('can be asked for in turns', () => {
    expect(turnsLike(ground(), 3)).toEqual([3, 4]);
    expect(turnsLike(ground(), 1)).toEqual([1, 1]);
    const block = blockOfTurns(ground(), [2, 5]);
    expect(block.runs.map((run) => [run.rotations, run.runS])).toEqual([
      [2, 240],
      [5, 250],
    ]);
    expect(block).toMatchObject({ rotations: 2, durationS: 260, leadS: 10 });
    expect(block.levelMm).toBeCloseTo(1.2, 9);
    expect(block.netMm).toBeCloseTo((1.2 + 2.5) / 2, 9);
    expect(() => blockOfTurns({ ...ground(), stations: [] }, [])).toThrow(RangeError);
    expect(() => cycleBlock({ ...ground(), stations: [], netMm: 1 })).toThrow(RangeError);
  });

  it('gives as many turns as are asked for where the clock counts in whole minutes', () => {
    const slow = smallStation('slow', { rotationS: 61 });
    const quick = smallStation('quick', { rotationS: 20 });
    const own = { ...ground({ runStepS: 60 }), stations: [slow, quick] };
    const block = blockOfTurns(own, [10, 7]);
    // 610 s and 140 s, each run ended on the next full minute.
    expect(block.runs.map((run) => [run.rotations, run.runS])).toEqual([
      [10, 660],
      [7, 180],
    ]);
    // 183 s become 240 s, which is 12 turns of the quick one.
    expect(turnsLike(own, 3)).toEqual([3, 12]);
  });

  it('ends at the longest run', () => {
    expect(blockOfTurns(ground({ mostRunS: 300 }), [9, 9]).runs.map((run) => run.runS)).toEqual([
      240, 300,
    ]);
    expect(turnsOf({ netMm: 9 }, ground({ mostRunS: 300 }))).toEqual([2, 2]);
  });
});
