import { describe, expect, it } from 'vitest';
import { plainStore } from '../../../calc/sand/plain-store.ts';
import { dryBalance } from '../../../calc/schedule/bed-balance.ts';
import { blockAt, type PlacementBed, standsInTheWay } from '../../../calc/schedule/start-search.ts';
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
    return standsInTheWay(placing, search, {
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
