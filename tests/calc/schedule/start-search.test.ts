import { describe, expect, it } from 'vitest';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';
import { dryBalance } from '../../../calc/schedule/bed-balance.ts';
import {
  blockAt,
  ceilToSlot,
  findObstacle,
  findStart,
  floorToSlot,
  latestStart,
  type PlacementBed,
} from '../../../calc/schedule/start-search.ts';
import { supplyTimeline } from '../../../calc/schedule/supply-timeline.ts';
import { smallDay, smallStation } from '../../small-day.ts';

const START_MS = Date.parse('2026-07-01T05:00:00Z');
const { limits } = smallDay({}).site;
const timeline = supplyTimeline(limits, { startMs: START_MS, endMs: START_MS + 3_600_000 });
const search = {
  limits,
  timeline,
  window: {
    firstStartMs: START_MS,
    lastEndMs: START_MS + 3_600_000,
    nextFirstStartMs: START_MS + 86_400_000,
  },
  driftAt: () => 0,
};

/** An invented bed whose one turn takes two minutes, kept off for a while from an instant on. */
const bedKeptOff = (fromMs: number): PlacementBed => ({
  bed: { id: 'bed' },
  stations: [smallStation('a')],
  balance: dryBalance({
    store: plainStore({ capacityMm: 2, feedMmPerH: 0 }),
    grid: { startMs: START_MS, steps: 12 },
    demand: { demandMm: new Float64Array(12), rainMm: new Float64Array(12) },
    stateNow: { storeMm: 1 },
  }),
  doseCapMm: 2,
  keepOffs: [{ bedId: 'bed', startMs: fromMs, endMs: fromMs + 600_000, why: 'roll' }],
});

describe('what stands in the way of a cycle', () => {
  const startMs = START_MS + 300_000;
  const found = (fromMs: number) => {
    const placing = bedKeptOff(fromMs);
    return findObstacle(placing, search, {
      startMs,
      roomMm: 1,
      ...blockAt(placing, search, startMs, 0),
    });
  };

  it('is a keep-off that begins while it runs, and none that begins as it ends', () => {
    expect(found(startMs + 120_000)).toBeNull();
    expect(found(startMs + 119_000)).toEqual({
      by: { kind: 'keep_off', off: { why: 'roll' }, endMs: startMs + 719_000 },
      tryBeforeMs: startMs - 1_000,
      tryAfterMs: startMs + 719_000,
    });
  });

  it('is a keep-off that is not over yet, and none that ends as it begins', () => {
    expect(found(startMs - 600_000)).toBeNull();
    expect(found(startMs - 599_000)?.by).toMatchObject({ kind: 'keep_off' });
  });
});

describe('the start that is found for a cycle', () => {
  const min = (minutes: number) => START_MS + 60_000 * minutes;
  /** Where a bed finds its start between the earliest and the latest, kept off from one to the other. */
  const found = (earliestMin: number, latestMin: number, off?: [number, number], closeMin = 60) => {
    const placing: PlacementBed = {
      ...bedKeptOff(0),
      keepOffs:
        off === undefined
          ? []
          : [{ bedId: 'bed', startMs: min(off[0]), endMs: min(off[1]), why: 'roll' }],
    };
    const due = { openMs: min(0), earliestMs: min(earliestMin), latestMs: min(latestMin) };
    const window = { ...search.window, lastEndMs: min(closeMin) };
    const start = findStart(placing, due, { ...search, window });
    return start === null ? null : (start.startMs - START_MS) / 60_000;
  };

  it('is the latest that is safe, else the next before it, else the next after it', () => {
    expect(found(10, 30)).toBe(30);
    expect(found(10, 30.3)).toBe(30);
    // It lasts two minutes.
    expect(found(10, 30, [31, 40])).toBe(29);
    expect(found(10, 30, [12, 40])).toBe(10);
    expect(found(10.2, 30, [12.5, 40])).toBe(10.5);
    expect(found(10.6, 30, [12.5, 40])).toBe(40);
    expect(found(10, 30, [11.5, 40.2])).toBe(40.5);
  });

  it('ends within the hours of water', () => {
    expect(found(10, 30, undefined, 32)).toBe(30);
    expect(found(10, 30, undefined, 31.5)).toBe(29.5);
    expect(found(30, 30, undefined, 31.5)).toBeNull();
    expect(found(10, 30, [5, 40], 42)).toBe(40);
    expect(found(10, 30, [5, 40], 41.5)).toBeNull();
  });

  it('is on the grid, and never before the bed is open', () => {
    const due = { openMs: min(10.2), earliestMs: 0, latestMs: min(10.4) };
    expect(latestStart(due, 30_000)).toBe(min(10.5));
    expect(latestStart({ ...due, latestMs: min(11.4) }, 30_000)).toBe(min(11));
    expect(floorToSlot(59_999, 30_000)).toBe(30_000);
    expect(floorToSlot(60_000, 30_000)).toBe(60_000);
    expect(ceilToSlot(60_001, 30_000)).toBe(90_000);
    expect(ceilToSlot(60_000, 30_000)).toBe(60_000);
  });
});

describe('the cycle of a depth at a start', () => {
  it('may pass the cap only where it is asked to', () => {
    const placing = { ...bedKeptOff(0), doseCapMm: 0.7 };
    expect(blockAt(placing, search, START_MS, 0.7).block.rotations).toBe(1);
    expect(blockAt(placing, search, START_MS, 1.3).block.rotations).toBe(2);
    const windy = { ...search, driftAt: () => 0.5 };
    expect(blockAt(placing, windy, START_MS, 0.7)).toMatchObject({
      driftLossFraction: 0.5,
      block: { rotations: 2 },
    });
  });
});
