import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { plainStore, scaledStore } from '../../../calc/sand/seedbed-store.ts';

const medium = sandClassModels['medium_open'];
if (medium === undefined) throw new Error('the sand classes have changed their names');
const stores = {
  plain: plainStore({ capacityMm: 2, feedMmPerH: 0.1 }),
  model: modelStore(medium.model),
};

describe.each(Object.entries(stores))('a scaled store on the %s one', (_, own) => {
  it('is the store itself at 1, and refuses what is no factor', () => {
    expect(scaledStore(own, 1)).toBe(own);
    expect(() => scaledStore(own, 0)).toThrow(RangeError);
    expect(() => scaledStore(own, Number.NaN)).toThrow(RangeError);
  });

  it('holds more at a greater factor, and lasts longer', () => {
    const factors = [0.5, 0.8, 1, 1.25, 2];
    const capacities = factors.map((factor) => scaledStore(own, factor).capacityMm(0.5));
    expect(capacities).toEqual(capacities.toSorted((a, b) => a - b));
    expect(new Set(capacities).size).toBe(factors.length);
  });

  it('keeps full full, dry dry, and the sums of its water', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 2, noNaN: true }),
        fc.double({ min: 0.05, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1.5, noNaN: true }),
        (factor, demandMmPerH, waterMm) => {
          const store = scaledStore(own, factor);
          expect(store.full).toEqual(own.full);
          const dry = store.stateAt(0, demandMmPerH);
          expect(Math.abs(store.marginMm(dry, demandMmPerH))).toBeLessThan(1e-9);
          const after = store.step(store.full, { waterMm, demandMm: 0, hours: 1 / 12 });
          expect(after.drainedMm).toBeGreaterThanOrEqual(0);
          expect(after.drainedMm).toBeLessThan(waterMm + 1.5 * factor);
        },
      ),
      { seed: 17, numRuns: 60 },
    );
  });
});

describe('a scaled plain store', () => {
  it('is a plain store of the scaled capacity and feed', () => {
    const scaled = scaledStore(stores.plain, 1.5);
    const other = plainStore({ capacityMm: 3, feedMmPerH: 0.15 });
    expect(scaled.capacityMm(0.4)).toBeCloseTo(other.capacityMm(0.4), 12);
    const step = { waterMm: 0.2, demandMm: 0.5, hours: 1 };
    const [a, b] = [scaled.step(scaled.full, step), other.step(other.full, step)];
    expect(scaled.marginMm(a.state, 0.4)).toBeCloseTo(other.marginMm(b.state, 0.4), 12);
    expect(scaled.roomMm(a.state)).toBeCloseTo(other.roomMm(b.state), 12);
  });
});
