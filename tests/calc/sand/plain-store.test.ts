import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';

const store = plainStore({ capacityMm: 1.2, feedMmPerH: 0.1 });
const positive = (max: number) => fc.double({ min: 0, max, noNaN: true });

describe('plainStore', () => {
  it('closes its balance and never holds more than its capacity', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 1.2, noNaN: true }),
        positive(5),
        fc.double({ min: -0.1, max: 1, noNaN: true }),
        positive(1),
        (storeMm, waterMm, demandMm, hours) => {
          const { state, drainedMm } = store.step({ storeMm }, { waterMm, demandMm, hours });
          const after = state['storeMm'] ?? Number.NaN;
          const fedMm = after - storeMm - waterMm + demandMm + drainedMm;
          expect(after).toBeLessThanOrEqual(1.2 + 1e-12);
          expect(drainedMm).toBeGreaterThanOrEqual(0);
          expect(fedMm).toBeGreaterThanOrEqual(-1e-9);
          expect(fedMm).toBeLessThanOrEqual(Math.min(Math.max(demandMm, 0), 0.1 * hours) + 1e-9);
        },
      ),
      { seed: 7, numRuns: 500 },
    );
  });

  it('dries sooner under more demand and later with more water', () => {
    fc.assert(
      fc.property(positive(1), positive(1), positive(2), (demandMm, moreMm, waterMm) => {
        const level = (demand: number, water: number) =>
          store.step({ storeMm: 0.5 }, { waterMm: water, demandMm: demand, hours: 1 }).state[
            'storeMm'
          ] ?? Number.NaN;
        expect(level(demandMm + moreMm, waterMm)).toBeLessThanOrEqual(
          level(demandMm, waterMm) + 1e-12,
        );
        expect(level(demandMm, waterMm + moreMm)).toBeGreaterThanOrEqual(
          level(demandMm, waterMm) - 1e-12,
        );
      }),
      { seed: 7, numRuns: 500 },
    );
  });

  it('covers demand from below up to the feed, and is not lifted by it', () => {
    expect(store.step({ storeMm: 0.5 }, { waterMm: 0, demandMm: 0.06, hours: 1 }).state).toEqual({
      storeMm: 0.5,
    });
    expect(store.step({ storeMm: 0.5 }, { waterMm: 0, demandMm: 0, hours: 1 }).state).toEqual({
      storeMm: 0.5,
    });
  });

  it.each([
    [0, 0.1],
    [-1, 0.1],
    [Number.NaN, 0.1],
    [1, -0.1],
    [1, Number.NaN],
  ])('refuses a capacity of %d and a feed of %d', (capacityMm, feedMmPerH) => {
    expect(() => plainStore({ capacityMm, feedMmPerH })).toThrow(/correct the sand/);
  });
});
