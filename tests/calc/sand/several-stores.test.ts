import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { severalStores } from '../../../calc/sand/joined-stores.ts';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { plainStore, type StoreState } from '../../../calc/sand/seedbed-store.ts';

const models = ['coarse_open', 'medium_open', 'medium_over_gravel'].map((key) => {
  const known = sandClassModels[key];
  if (known === undefined) throw new Error(`no model of ${key}`);
  return known.model;
});
const single = models.map((model) => modelStore(model));
const several = severalStores(single);

/** What happens to a bed: doses and demands, quarter of an hour by quarter of an hour. */
const course = fc.array(
  fc.record({
    waterMm: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 2, noNaN: true })),
    demandMm: fc.double({ min: 0, max: 0.25, noNaN: true }),
  }),
  { minLength: 1, maxLength: 24 },
);

describe('severalStores', () => {
  it('is the worst of its members at every moment, each followed on its own', () => {
    fc.assert(
      fc.property(course, fc.double({ min: 0.05, max: 1, noNaN: true }), (steps, demandMmPerH) => {
        let state = several.full;
        let states: StoreState[] = single.map((store) => store.full);
        for (const { waterMm, demandMm } of steps) {
          const step = { waterMm, demandMm, hours: 0.25 };
          const all = several.step(state, step);
          const each = single.map((store, index) => store.step(states[index] ?? {}, step));
          state = all.state;
          states = each.map((one) => one.state);
          expect(all.drainedMm).toBe(Math.max(...each.map((one) => one.drainedMm)));
        }
        const least = (of: (store: (typeof single)[number], own: StoreState) => number) =>
          Math.min(...single.map((store, index) => of(store, states[index] ?? {})));
        expect(several.marginMm(state, demandMmPerH)).toBe(
          least((store, own) => store.marginMm(own, demandMmPerH)),
        );
        expect(several.leftMm(state, demandMmPerH)).toBe(
          least((store, own) => store.leftMm(own, demandMmPerH)),
        );
        expect(several.roomMm(state)).toBe(least((store, own) => store.roomMm(own)));
      }),
      { seed: 11, numRuns: 30 },
    );
  });

  it('holds what the least of them holds', () => {
    for (const rate of [0.1, 0.5, 1]) {
      const capacities = single.map((store) => store.capacityMm(rate));
      expect(several.capacityMm(rate)).toBe(Math.min(...capacities));
      expect(Math.max(...capacities)).toBeGreaterThan(2 * several.capacityMm(rate));
    }
  });

  it('gives a single store back as it is, and refuses none at all', () => {
    const [first] = single;
    expect(first && severalStores([first])).toBe(first);
    expect(() => severalStores([])).toThrow('severalStores: a bed needs a store');
  });

  it('is a store of sums only when all of them are', () => {
    const plain = plainStore({ capacityMm: 1, feedMmPerH: 0 });
    expect(severalStores([plain, plain]).isAdditive).toBe(true);
    expect(severalStores([plain, ...single]).isAdditive).toBe(false);
  });
});
