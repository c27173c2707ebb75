import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { surfaceStorageMm } from '../../../calc/sand/infiltration.ts';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { stepSeedbed } from '../../../calc/sand/seedbed-model.ts';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';

function openSand() {
  const kept = sandClassModels['coarse_open'];
  if (kept === undefined) throw new Error('no model of coarse_open');
  return kept.model;
}

describe('the store of a modelled sand', () => {
  const model = openSand();
  const store = modelStore(model);

  it('is full with the seed layer wet and the sand below as after a night', () => {
    expect(store.full).toEqual({ ...model.drained, seedMm: model.full.seedMm });
    expect(store.roomMm(store.full)).toBe(0);
  });

  it('takes dew for water and steps as the model does', () => {
    const state = store.stateAt(0.5, 0.4);
    const parts = {
      seedMm: state['seedMm'] ?? 0,
      belowMm: state['belowMm'] ?? 0,
      rootMm: state['rootMm'] ?? 0,
    };
    const dew = store.step(state, { waterMm: 0.1, demandMm: -0.02, hours: 0.5 });
    const own = stepSeedbed(model, parts, { waterMm: 0.12, demandMm: 0, hours: 0.5 });
    expect(dew.state).toEqual({ ...own.state });
    expect(dew.drainedMm).toBe(own.drainedMm);
    const loss = store.step(state, { waterMm: 0, demandMm: 0.2, hours: 0.5 });
    expect(loss.state).toEqual({
      ...stepSeedbed(model, parts, { waterMm: 0, demandMm: 0.2, hours: 0.5 }).state,
    });
  });

  it('has at the dry limit nothing left, and all parts of the way from there to a night’s', () => {
    // At 0.2 mm/h the surface is wet to where the seed layer's own water is the limit.
    expect(store.stateAt(0, 0.2)['seedMm']).toBeCloseTo(model.dry.seedMm, 9);
    for (const demandMmPerH of [0.6, 0.9]) {
      const dry = store.stateAt(0, demandMmPerH);
      expect(store.marginMm(dry, demandMmPerH)).toBeCloseTo(0, 9);
      expect(store.leftMm(dry, demandMmPerH)).toBeCloseTo(0, 9);
      expect(store.stateAt(1, demandMmPerH)).toEqual({ ...model.drained });
      const half = store.stateAt(0.5, demandMmPerH);
      expect(half['seedMm']).toBeCloseTo(((dry['seedMm'] ?? 0) + model.drained.seedMm) / 2, 9);
      expect(half['belowMm']).toBeCloseTo(((dry['belowMm'] ?? 0) + model.drained.belowMm) / 2, 9);
      expect(half['rootMm']).toBeCloseTo(((dry['rootMm'] ?? 0) + model.drained.rootMm) / 2, 9);
    }
  });

  it('tells a capacity that is what a full bed has left, and between the rates worked out a straight line', () => {
    for (const rate of [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5]) {
      expect(store.capacityMm(rate)).toBeCloseTo(store.leftMm(store.full, rate), 9);
    }
    expect(store.capacityMm(0.01)).toBe(store.capacityMm(0.05));
    expect(store.capacityMm(9)).toBe(store.capacityMm(1.5));
    const [low, high] = [store.capacityMm(0.3), store.capacityMm(0.5)];
    expect(store.capacityMm(0.35)).toBeCloseTo(low + (high - low) / 4, 9);
  });

  it('has at no demand its margin left, and no more than two days take', () => {
    expect(store.leftMm(store.full, 0)).toBe(store.marginMm(store.full, 0));
    expect(store.leftMm(store.full, 1e-4)).toBeLessThanOrEqual(48e-4 + 1e-12);
  });
});

describe('a plain store', () => {
  it('gives a steady demand what it holds and what is fed meanwhile, at most for two days', () => {
    const store = plainStore({ capacityMm: 2, feedMmPerH: 0.1 });
    // It empties at 0.4 mm/h in 5 h, in which 2.5 mm are lost.
    expect(store.capacityMm(0.5)).toBeCloseTo(2.5, 12);
    expect(store.leftMm({ storeMm: 1 }, 0.5)).toBeCloseTo(1.25, 12);
    expect(store.leftMm({ storeMm: -0.5 }, 0.5)).toBe(-0.5);
    expect(store.leftMm({ storeMm: 1 }, 0.1)).toBeCloseTo(4.8, 12);
    expect(store.leftMm({ storeMm: 1 }, 0.01)).toBe(1);
    // 0.102 mm/h would empty 2 mm in 1000 h.
    expect(store.capacityMm(0.102)).toBeCloseTo(0.102 * 48, 12);
  });

  it('is fed no more than it loses, and closes its balance', () => {
    const store = plainStore({ capacityMm: 2, feedMmPerH: 0.1 });
    fc.assert(
      fc.property(
        fc.double({ min: -1, max: 2, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: -0.1, max: 1, noNaN: true }),
        (storeMm, waterMm, demandMm) => {
          const { state, drainedMm } = store.step({ storeMm }, { waterMm, demandMm, hours: 0.5 });
          const fedMm = Math.max(0, Math.min(demandMm, 0.05));
          const heldMm = storeMm + waterMm + fedMm - demandMm;
          expect((state['storeMm'] ?? Number.NaN) + drainedMm).toBeCloseTo(heldMm, 9);
          expect(drainedMm).toBeCloseTo(Math.max(0, heldMm - 2), 9);
        },
      ),
      { seed: 67, numRuns: 100 },
    );
    expect(() => plainStore({ capacityMm: 0, feedMmPerH: 0 })).toThrow(RangeError);
    expect(() => plainStore({ capacityMm: 1, feedMmPerH: -0.1 })).toThrow(RangeError);
    expect(plainStore({ capacityMm: 0.5, feedMmPerH: 0 }).capacityMm(1)).toBeCloseTo(0.5, 12);
  });
});

it('surfaces keep 0.5, 0.3, 0.1 and 0 in (US Soil Conservation Service, from memory)', () => {
  const inches = [0, 1, 1.1, 3, 3.1, 5, 5.1, 100].map((slope) => surfaceStorageMm(slope) / 25.4);
  const expected = [0.5, 0.5, 0.3, 0.3, 0.1, 0.1, 0, 0];
  for (const [index, value] of inches.entries()) expect(value).toBeCloseTo(expected[index] ?? 9, 2);
  expect(() => surfaceStorageMm(101)).toThrow(RangeError);
});
