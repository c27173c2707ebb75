import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { blockOfTurns } from '../../../calc/schedule/cycle-block.ts';
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
import { smallStation } from '../../small-day.ts';

const START_MS = Date.parse('2026-07-01T05:00:00Z');
const SECOND_MS = 1000;

const limits: Limits = {
  pumpFlowLPerMin: 500,
  mains: [{ id: 'north', flowLPerMin: 300 }],
  laterals: [{ id: 'l1', flowLPerMin: 200 }],
  stationsAtOnce: 3,
  startGapS: 0,
  leastRunS: 60,
  mostRunS: 1800,
  runStepS: 1,
  stationOrder: 'together',
  pumpRiseLPerMin: null,
  pumpRestS: 0,
  dayAllowanceL: null,
  seasonAllowanceL: null,
  restMin: 30,
  leastCycles: 0,
  firstAfterSunriseMin: 30,
  lastBeforeSunsetMin: 90,
  riskFraction: 0.05,
  windLimitMPerS: 4,
};

/** A cycle of one turn of each station, ready to be tried. */
function loadOf(timeline: SupplyTimeline, own: Limits, ...stations: Station[]) {
  const ground = { stations, driftLossFraction: 0, limits: own };
  return supplyLoad(
    timeline,
    blockOfTurns(
      ground,
      stations.map(() => 1),
    ),
  );
}

const emptyDay = (change: Partial<Limits> = {}) => {
  const own = { ...limits, ...change };
  return { own, timeline: supplyTimeline(own, { startMs: START_MS, endMs: START_MS + 7_200_000 }) };
};

describe('the timeline of the supply', () => {
  it('covers its time in half minutes, from the one that holds its start', () => {
    const timeline = supplyTimeline(limits, {
      startMs: START_MS + 29_000,
      endMs: START_MS + 61_000,
    });
    expect(timeline).toMatchObject({ startMs: START_MS, slotMs: 30_000, slots: 3 });
    const none = supplyTimeline(limits, { startMs: START_MS, endMs: START_MS, slotMs: 60_000 });
    expect(none).toMatchObject({ slotMs: 60_000, slots: 1 });
  });

  it('names the limit that a second cycle at the same time would break', () => {
    const conflict = (change: Partial<Limits>, of: Partial<Station>) => {
      const { own, timeline } = emptyDay(change);
      const load = (id: string) => loadOf(timeline, own, smallStation(id, of));
      expect(supplyConflict(timeline, load('a'), START_MS)).toBeNull();
      bookSupply(timeline, load('a'), START_MS);
      return supplyConflict(timeline, load('b'), START_MS + 60_000);
    };
    expect(conflict({ pumpFlowLPerMin: 200 }, {})).toBeNull();
    expect(conflict({ pumpFlowLPerMin: 199 }, {})).toEqual({ kind: 'pump' });
    expect(conflict({ stationsAtOnce: 2 }, {})).toBeNull();
    expect(conflict({ stationsAtOnce: 1 }, {})).toEqual({ kind: 'stations_at_once' });
    const main = { mainId: 'north', flowLPerMin: 150 };
    expect(conflict({}, main)).toBeNull();
    expect(conflict({}, { ...main, flowLPerMin: 151 })).toEqual({ kind: 'main', id: 'north' });
    const lateral = { lateralId: 'l1', flowLPerMin: 100 };
    expect(conflict({}, lateral)).toBeNull();
    expect(conflict({}, { ...lateral, flowLPerMin: 101 })).toEqual({ kind: 'lateral', id: 'l1' });
    expect(conflict({ startGapS: 60 }, {})).toBeNull();
    expect(conflict({ startGapS: 61 }, {})).toEqual({ kind: 'start_gap' });
    // 100 L/min for two minutes each.
    expect(conflict({ dayAllowanceL: 400 }, {})).toBeNull();
    expect(conflict({ dayAllowanceL: 399 }, {})).toEqual({ kind: 'allowance' });
    expect(conflict({ seasonAllowanceL: 399 }, {})).toEqual({ kind: 'season_allowance' });
  });

  it('lets the flow rise by so much within any minute, and one valve alone by its own', () => {
    const { own, timeline } = emptyDay({ pumpRiseLPerMin: 150 });
    const load = (flowLPerMin: number) => loadOf(timeline, own, smallStation('a', { flowLPerMin }));
    bookSupply(timeline, load(100), START_MS + 120_000);
    const conflict = (flowLPerMin: number, afterS: number) =>
      supplyConflict(timeline, load(flowLPerMin), START_MS + 120_000 + afterS * SECOND_MS);
    for (const afterS of [-59, 0, 59]) {
      expect(conflict(50, afterS)).toBeNull();
      expect(conflict(51, afterS)).toEqual({ kind: 'pump_rise' });
    }
    for (const afterS of [-60, 60]) expect(conflict(200, afterS)).toBeNull();
  });

  it('keeps a start from standing too soon before or after another, or where the pump rests', () => {
    const { own, timeline } = emptyDay({ startGapS: 20, pumpRestS: 300 });
    const load = loadOf(timeline, own, smallStation('a'));
    const midMs = START_MS + 1_800_000;
    bookSupply(timeline, load, midMs);
    const conflict = (afterS: number) =>
      supplyConflict(timeline, load, midMs + afterS * SECOND_MS)?.kind ?? null;
    expect([-19, -20, 19, 20].map(conflict)).toEqual(['start_gap', null, 'start_gap', null]);
    // It runs for 120 s: its pump stands from then on, and until 300 s before it starts.
    expect([120, 121, 419, 420].map(conflict)).toEqual([null, 'pump_rest', 'pump_rest', null]);
    expect([-120, -121, -419, -420].map(conflict)).toEqual([null, 'pump_rest', 'pump_rest', null]);
  });

  it('counts runs that stand already, also where they began before', () => {
    const { own, timeline } = emptyDay({ pumpFlowLPerMin: 150, dayAllowanceL: 500 });
    const a = smallStation('a');
    const run = {
      ...{ bedId: 'bed', stationId: 'a', startMs: START_MS - 60_000, runS: 120 },
      ...{ rotations: 1, grossMm: 0.6, netMm: 0.6, cycle: 1 },
    };
    bookRuns(timeline, [run, { ...run, stationId: 'gone' }], new Map([['a', a]]));
    expect(timeline.water.bookedL).toBe(200);
    expect(timeline.starts).toEqual([run.startMs]);
    expect(timeline.ends).toEqual([START_MS + 60_000]);
    const load = loadOf(timeline, own, smallStation('b'));
    expect(supplyConflict(timeline, load, START_MS + 59_000)).toEqual({ kind: 'pump' });
    expect(supplyConflict(timeline, load, START_MS + 60_000)).toBeNull();
  });
});

interface Cut {
  fromS: number;
  turnS: number;
  flowLPerMin: number;
  isNorth: boolean;
  isL1: boolean;
}

/** Starts stand on the grid, ends anywhere. */
const cut = fc.record({
  fromS: fc.integer({ min: 0, max: 20 }).map((slot) => 30 * slot),
  turnS: fc.integer({ min: 60, max: 200 }),
  flowLPerMin: fc.integer({ min: 50, max: 220 }),
  isNorth: fc.boolean(),
  isL1: fc.boolean(),
});

const stationOf = (one: Cut, index: number) =>
  smallStation(`s${index}`, {
    flowLPerMin: one.flowLPerMin,
    rotationS: one.turnS,
    mainId: one.isNorth ? 'north' : null,
    lateralId: one.isL1 ? 'l1' : null,
  });

/** Whether any second of these runs sees more than a limit allows: no slots, no sums kept. */
function isOverInSomeSecond(runs: readonly Cut[]): boolean {
  for (let second = 0; second < 900; second++) {
    const open = runs.filter((one) => one.fromS <= second && second < one.fromS + one.turnS);
    const flow = (some: readonly Cut[]) => some.reduce((sum, one) => sum + one.flowLPerMin, 0);
    if (flow(open) > limits.pumpFlowLPerMin || open.length > limits.stationsAtOnce) return true;
    if (flow(open.filter((one) => one.isNorth)) > 300) return true;
    if (flow(open.filter((one) => one.isL1)) > 200) return true;
  }
  return false;
}

describe('any cycles tried one after the other', () => {
  it('are let in exactly where no second of the day sees too much', () => {
    fc.assert(
      fc.property(fc.array(cut, { minLength: 2, maxLength: 12 }), (cuts) => {
        const { own, timeline } = emptyDay();
        const standing: Cut[] = [];
        for (const [index, one] of cuts.entries()) {
          const load = loadOf(timeline, own, stationOf(one, index));
          const startMs = START_MS + one.fromS * SECOND_MS;
          const isFree = supplyConflict(timeline, load, startMs) === null;
          expect(isFree).toBe(!isOverInSomeSecond([...standing, one]));
          if (!isFree) continue;
          bookSupply(timeline, load, startMs);
          standing.push(one);
        }
      }),
      { seed: 61, numRuns: 150 },
    );
  });

  it('leave nothing behind when they are taken out again', () => {
    fc.assert(
      fc.property(fc.array(cut, { minLength: 1, maxLength: 8 }), (cuts) => {
        const { own, timeline } = emptyDay();
        const loads = cuts.map((one, index) => ({
          load: loadOf(timeline, own, stationOf(one, index)),
          startMs: START_MS + one.fromS * SECOND_MS,
        }));
        for (const { load, startMs } of loads) bookSupply(timeline, load, startMs);
        expect(timeline.water.bookedL).toBeCloseTo(
          cuts.reduce((sum, one) => sum + (one.flowLPerMin * one.turnS) / 60, 0),
          6,
        );
        expect(timeline.starts).toEqual(loads.map(({ startMs }) => startMs).toSorted());
        for (const { load, startMs } of loads) unbookSupply(timeline, load, startMs);
        const { starts, ends, startFlowsLPerMin, water } = timeline;
        expect({ starts, ends, startFlowsLPerMin }).toEqual({
          starts: [],
          ends: [],
          startFlowsLPerMin: [],
        });
        expect(water.bookedL).toBeCloseTo(0, 6);
        const tracks = [timeline.pump, timeline.stationsAtOnce, ...timeline.mains.values()];
        for (const { bookedLPerMin, edges } of tracks) {
          expect(Math.max(...bookedLPerMin.map(Math.abs))).toBeLessThan(1e-9);
          expect([...edges.values()].flat()).toEqual([]);
        }
      }),
      { seed: 62, numRuns: 100 },
    );
  });
});
