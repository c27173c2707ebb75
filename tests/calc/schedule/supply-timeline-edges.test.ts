import { describe, expect, it } from 'vitest';
import { blockOfTurns } from '../../../calc/schedule/cycle-block.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import type { Limits, Station } from '../../../calc/schedule/site.ts';
import {
  bookRuns,
  bookSupply,
  type SupplyTimeline,
  supplyConflict,
  supplyLoad,
  supplyTimeline,
  unbookSupply,
} from '../../../calc/schedule/supply-timeline.ts';
import { handLimits } from '../../laid-day.ts';
import { smallStation } from '../../small-day.ts';

const START_MS = Date.parse('2026-07-01T05:00:00Z');
const at = (seconds: number) => START_MS + 1000 * seconds;

function day(change: Partial<Limits> = {}) {
  const limits = handLimits({ pumpFlowLPerMin: 500, stationsAtOnce: 9, leastRunS: 1, ...change });
  const timeline = supplyTimeline(limits, { startMs: START_MS, endMs: at(7200) });
  const load = (...stations: Station[]) =>
    supplyLoad(
      timeline,
      blockOfTurns(
        { stations, driftLossFraction: 0, limits },
        stations.map(() => 1),
      ),
    );
  return { timeline, load };
}
const station = (id: string, flowLPerMin: number, rotationS = 120) =>
  smallStation(id, { flowLPerMin, rotationS });
const kind = (
  timeline: SupplyTimeline,
  load: ReturnType<typeof supplyLoad>,
  atS: number,
): string | null => supplyConflict(timeline, load, at(atS))?.kind ?? null;

describe('runs that stand already', () => {
  const book = (timeline: SupplyTimeline, runs: [string, number, number][], flow = 200) => {
    const stations = new Map(['a', 'b', 'c'].map((id) => [id, station(id, flow)]));
    const standing = runs.map(([stationId, atS, runS]) => ({ stationId, startMs: at(atS), runS }));
    bookRuns(timeline, standing as unknown as Run[], stations);
  };

  it('add up where they run together', () => {
    const { timeline, load } = day();
    book(timeline, [
      ['a', 0, 120],
      ['b', 60, 120],
    ]);
    const other = load(station('d', 200));
    expect([0, 60, 90, 120].map((one) => kind(timeline, other, one))).toEqual([
      'pump',
      'pump',
      'pump',
      null,
    ]);
    expect(timeline.water.bookedL).toBeCloseTo(800, 9);
  });

  it('take nothing of the time before them, nor after their last second', () => {
    const { timeline, load } = day();
    book(timeline, [['a', 3600, 65]], 400);
    const big = load(station('d', 400, 30));
    expect(kind(timeline, big, 0)).toBeNull();
    expect(kind(timeline, big, 3570)).toBeNull();
    expect(kind(timeline, big, 3600)).toBe('pump');
    expect(kind(timeline, big, 3630)).toBe('pump');
    expect(kind(timeline, big, 3660)).toBe('pump');
    // The small one goes first, and the big one opens when the run has ended.
    const gap = day({ startGapS: 6 });
    book(gap.timeline, [['a', 3600, 65]], 400);
    expect(kind(gap.timeline, gap.load(station('d', 50), station('e', 400)), 3660)).toBeNull();
    const close = day({ startGapS: 4 });
    book(close.timeline, [['a', 3600, 65]], 400);
    expect(kind(close.timeline, close.load(station('d', 50), station('e', 400)), 3660)).toBe(
      'pump',
    );
  });

  it('count from their own start where that was before the day', () => {
    const { timeline, load } = day();
    book(timeline, [['a', -60, 120]], 400);
    const big = load(station('d', 400, 30));
    expect(kind(timeline, big, 30)).toBe('pump');
    expect(kind(timeline, big, 60)).toBeNull();
  });
});

describe('a booked cycle', () => {
  it('ends with its last second', () => {
    const { timeline, load } = day({ startGapS: 25 });
    bookSupply(timeline, load(station('a', 400, 50)), at(0));
    // The second opens at 55 s.
    expect(kind(timeline, load(station('b', 50), station('c', 450)), 30)).toBeNull();
    const sooner = day({ startGapS: 15 });
    bookSupply(sooner.timeline, sooner.load(station('a', 400, 50)), at(0));
    expect(kind(sooner.timeline, sooner.load(station('b', 50), station('c', 450)), 30)).toBe(
      'pump',
    );
  });

  it('keeps its valves’ gap from each valve of another', () => {
    const { timeline, load } = day({ startGapS: 25 });
    bookSupply(timeline, load(station('a', 10)), at(50));
    const two = load(station('b', 10), station('c', 10));
    // Valves at 0 and 25 s; at 30 and 55; at 90 and 115.
    expect(kind(timeline, two, 0)).toBeNull();
    expect(kind(timeline, two, 30)).toBe('start_gap');
    expect(kind(timeline, two, 90)).toBeNull();
    bookSupply(timeline, load(station('d', 10)), at(139));
    expect(kind(timeline, two, 90)).toBe('start_gap');
  });

  it('lets no minute see more flow come up than may, its later valves’ neither', () => {
    const { timeline, load } = day({ pumpRiseLPerMin: 300, pumpFlowLPerMin: 900 });
    bookSupply(timeline, load(station('a', 200)), at(150));
    // The second of 200 waits a minute for the first of 150.
    const two = load(station('b', 150), station('c', 200));
    expect(two.startOffsetsMs).toEqual([0, 60_000]);
    expect(kind(timeline, two, 0)).toBeNull();
    expect(kind(timeline, two, 30)).toBeNull();
    expect(kind(timeline, two, 60)).toBe('pump_rise');
    expect(kind(timeline, load(station('d', 100)), 120)).toBeNull();
    expect(kind(timeline, load(station('d', 101)), 120)).toBe('pump_rise');
    expect(kind(timeline, load(station('d', 101)), 180)).toBe('pump_rise');
    expect(kind(timeline, load(station('d', 300)), 210)).toBeNull();
    expect(kind(timeline, load(station('d', 400)), 600), 'alone').toBeNull();
  });

  it.each([
    [0, 1],
    [1, 0],
    [2, 0],
  ])('is taken out again with its own flow, among others of one instant: %d', (out, flowAt) => {
    const { timeline, load } = day();
    const flows = [100, 200, 30];
    const loads = flows.map((flow, index) => load(station(`${index}`, flow)));
    for (const one of loads) bookSupply(timeline, one, at(60));
    bookSupply(timeline, load(station('later', 5)), at(90));
    unbookSupply(timeline, loads[out] as never, at(60));
    expect(timeline.starts).toEqual([at(60), at(60), at(90)]);
    const left = timeline.startFlowsLPerMin;
    expect(left.slice(0, 2).toSorted((a, b) => a - b)).toEqual(
      flows.filter((_, index) => index !== out).toSorted((a, b) => a - b),
    );
    expect(left).toContain(flows[flowAt]);
    expect(left[2]).toBe(5);
    expect(timeline.ends).toEqual([at(180), at(180), at(210)]);
  });

  it('takes all water that is left, and no more', () => {
    const { timeline, load } = day({ dayAllowanceL: 400 });
    const one = load(station('a', 100));
    bookSupply(timeline, one, at(0));
    expect(kind(timeline, one, 600)).toBeNull();
    bookSupply(timeline, one, at(600));
    expect(kind(timeline, load(station('b', 1, 1)), 1200)).toBe('allowance');
    unbookSupply(timeline, one, at(600));
    expect(timeline.water.bookedL).toBeCloseTo(200, 9);
    expect(kind(timeline, one, 600)).toBeNull();
  });
});
