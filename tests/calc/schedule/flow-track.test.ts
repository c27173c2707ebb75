import { describe, expect, it } from 'vitest';
import {
  type FlowTrack,
  peakWithin,
  setEdges,
  type TrackRun,
} from '../../../calc/schedule/supply-timeline.ts';

const slot = { startMs: 1000, endMs: 1030 };
const run = (startMs: number, endMs: number, flowLPerMin: number): TrackRun => ({
  startMs,
  endMs,
  flowLPerMin,
});
/** The peak where these are booked at instants, and those asked for count from 900. */
const peak = (booked: TrackRun[] | undefined, asked: TrackRun[], touchingLPerMin: number) =>
  peakWithin(slot, booked, { runs: asked, startMs: 900 }, touchingLPerMin);

describe('the most that is drawn at once within a slot', () => {
  it('is less than all that touch it where one ends before the other begins', () => {
    expect(peak([run(950, 1010, 30)], [run(110, 200, 50)], 80)).toBe(50);
    expect(peak([run(950, 1011, 30)], [run(110, 200, 50)], 80)).toBe(80);
    expect(peak([run(1020, 1100, 30)], [run(0, 120, 50)], 80)).toBe(50);
    expect(peak([run(1019, 1100, 30)], [run(0, 120, 50)], 80)).toBe(80);
  });

  it('has what covers the slot whole in every second of it', () => {
    // 100 of the 180 are of runs from before to after.
    expect(peak([run(950, 1010, 30)], [run(110, 200, 50)], 180)).toBe(150);
    expect(peak([run(950, 1010, 30)], [run(100, 130, 50)], 80)).toBe(80);
    expect(peak([run(950, 1010, 30)], [run(101, 130, 50)], 80)).toBe(80);
    expect(peak([run(950, 1010, 30)], [run(111, 130, 50)], 80)).toBe(50);
  });

  it('has nothing of a run that only touches its ends', () => {
    expect(peak(undefined, [run(0, 100, 50)], 0)).toBe(0);
    expect(peak(undefined, [run(130, 200, 50)], 0)).toBe(0);
    expect(peak(undefined, [run(129, 200, 50)], 50)).toBe(50);
    expect(peak(undefined, [run(0, 101, 50)], 50)).toBe(50);
  });

  it('is that of the busiest instant among several', () => {
    const booked = [run(950, 1005, 10), run(1005, 1015, 40), run(1015, 1025, 20)];
    expect(peak(booked, [], 70)).toBe(40);
    expect(peak(booked, [run(110, 200, 5)], 75)).toBe(45);
    expect(peak([run(1000, 1005, 10), run(1000, 1004, 7)], [], 17)).toBe(17);
  });
});

describe('the runs noted in slots that they cover in part', () => {
  const noted = (one: TrackRun, before: TrackRun[] = []) => {
    const track: FlowTrack = {
      limit: { kind: 'pump' },
      allowedLPerMin: 1,
      bookedLPerMin: new Float64Array(9),
      edges: new Map(),
    };
    const origin = { startMs: 1000, slotMs: 30 };
    for (const each of [...before, one]) setEdges(origin, track, each, true);
    const edges = [...track.edges].filter(([, runs]) => runs.includes(one)).map(([at]) => at);
    setEdges(origin, track, { ...one }, false);
    return { edges, left: [...track.edges.values()].flat() };
  };

  it('are its first and its last, unless it fills them', () => {
    expect(noted(run(1010, 1100, 1)).edges).toEqual([0, 3]);
    expect(noted(run(1000, 1100, 1)).edges).toEqual([3]);
    expect(noted(run(1010, 1090, 1)).edges).toEqual([0]);
    expect(noted(run(1030, 1090, 1)).edges).toEqual([]);
    expect(noted(run(1035, 1040, 1)).edges).toEqual([1]);
    expect(noted(run(1030, 1059, 1)).edges).toEqual([1]);
    expect(noted(run(1001, 1030, 1)).edges).toEqual([0]);
  });

  it('are taken out again, that very run and no other', () => {
    expect(noted(run(1010, 1100, 1)).left).toEqual([]);
    const others = [run(1010, 1100, 2), run(1011, 1100, 1), run(1010, 1099, 1)];
    const { left } = noted(run(1010, 1100, 1), others);
    expect(new Set(left)).toEqual(new Set(others));
    expect(left).toHaveLength(6);
    // One that is not there takes nothing along.
    expect(noted(run(1010, 1100, 1), [run(1010, 1100, 1)]).left).toHaveLength(2);
    const track: FlowTrack = {
      limit: { kind: 'pump' },
      allowedLPerMin: 1,
      bookedLPerMin: new Float64Array(9),
      edges: new Map(),
    };
    setEdges({ startMs: 1000, slotMs: 30 }, track, run(1010, 1020, 5), true);
    setEdges({ startMs: 1000, slotMs: 30 }, track, run(1010, 1021, 5), false);
    expect(track.edges.get(0)).toEqual([run(1010, 1020, 5)]);
  });
});
