import { describe, expect, it } from 'vitest';
import { bandSeries } from '../../../../daemon/faces/web/views/store-band.ts';

/** An hour in steps of five minutes: falling by 0.1, lifted by a cycle of 0.6 in the fourth step. */
const storeMm = [1, 0.9, 0.8, 0.7, 1.2, 1.1, 1, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4];
const store = { startMs: 0, stepMin: 5, storeMm };

describe('the band at every step of the store', () => {
  it('is as it was told each half hour, and keeps about the store between', () => {
    const band = { stepMin: 30, lowerMm: [0.8, 0.7, 0.1], upperMm: [1.3, 1.6, 0.9] };
    const found = bandSeries({ ...store, band });
    expect(found?.lowerMm).toHaveLength(storeMm.length);
    for (const [index, step] of [0, 6, 12].entries()) {
      expect(found?.lowerMm[step]).toBeCloseTo(band.lowerMm[index] ?? 0, 9);
      expect(found?.upperMm[step]).toBeCloseTo(band.upperMm[index] ?? 0, 9);
    }
    // Its distance goes from 0.2 to 0.3 below the store: 1.2 less 0.2 + 4/6 of 0.1.
    expect(found?.lowerMm[4]).toBeCloseTo(1.2 - 0.2 - 0.4 / 6, 9);
    for (const [step, mm] of storeMm.entries()) {
      expect(found?.lowerMm[step]).toBeLessThanOrEqual(mm);
      expect(found?.upperMm[step]).toBeGreaterThanOrEqual(mm);
    }
  });

  it('goes no further out than it was told about the step, or than the store', () => {
    // The upper end leaps at the half hour: a straight line of distances would lift it before the cycle.
    const band = { stepMin: 30, lowerMm: [0.8, 0.1, 0.1], upperMm: [1.1, 4, 0.9] };
    const found = bandSeries({ ...store, band });
    expect(Math.max(...(found?.upperMm ?? []))).toBeLessThanOrEqual(4);
    expect(Math.min(...(found?.lowerMm.slice(0, 7) ?? []))).toBeGreaterThanOrEqual(0.1);
  });

  it('is none in a plan of before', () => {
    expect(bandSeries(store)).toBeNull();
  });
});
