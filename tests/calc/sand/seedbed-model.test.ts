import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dryDownTable } from '../../../calc/sand/bed-column.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { sandClass, sandClasses } from '../../../calc/sand/sand-classes.ts';
import { hoursToDry, storeMm } from '../../../calc/sand/seedbed-dynamics.ts';
import { deriveSeedbedModel } from '../../../calc/sand/seedbed-fit.ts';
import {
  dryLimitMm,
  isDry,
  marginMm,
  roomMm,
  type SeedbedModel,
  stepSeedbed,
} from '../../../calc/sand/seedbed-model.ts';
import {
  compareSeedbed,
  fallonReferenceMm,
  inventedCoolDayMm,
  repeatedCases,
  singleCases,
} from '../../bench/seedbed-model.ts';

function modelOf(key: string): SeedbedModel {
  const found = sandClassModels[key];
  if (found === undefined) throw new Error(`no model of ${key}`);
  return found.model;
}

const every = <T>(all: readonly T[], step: number) => all.filter((_, i) => i % step === 1);

describe('the hour of drying against the numerical column', () => {
  // Every sixth case of the published day and a few of the invented one, taken by their order and
  // not by their result; `tests/bench/seedbed-model.ts` runs them all.
  const cases = [
    ...every(singleCases(fallonReferenceMm), 6),
    ...every(repeatedCases(fallonReferenceMm), 6),
    ...every(singleCases(inventedCoolDayMm), 24),
    ...every(repeatedCases(inventedCoolDayMm), 15),
  ];
  // Where the model is known to miss: 12 minutes too early on an hour and four minutes.
  const known: Record<string, string[]> = {
    medium_open: ['dry, 4 x 1 mm a day, last is dose 7'],
  };

  test.each(sandClasses)('$key: within 15 % or 10 minutes', (sand) => {
    const rows = compareSeedbed(sand, { model: modelOf(sand.key), cases });
    expect(rows).toHaveLength(27);
    expect(rows.filter(({ columnHours }) => columnHours !== null).length).toBeGreaterThan(14);
    expect(rows.filter(({ ok }) => !ok).map((row) => row.case)).toEqual(known[sand.key] ?? []);
  });

  test.each([
    ['coarse_open', 0.05],
    ['loamy_open', 0.05],
    ['medium_open', 0.05],
    ['medium_over_gravel', 0.05],
    ['fine_over_gravel', 0.05],
  ])('%s: capacity at steady demands is the column’s', (key, tolerance) => {
    const rates = [0.3, 0.5, 0.7, 1];
    const rows = dryDownTable(sandClass(key).bed, { ratesMmPerH: rates });
    const model = modelOf(key);
    for (const { demandMmPerH, capacityMm } of rows) {
      const ours = storeMm(model, model.full, { demandMmPerH, mostHours: 120 });
      // 36 mm is what evaporates in the 120 h of a run at 0.3 mm/h that never dries.
      expect(Math.abs(ours / (capacityMm ?? 36) - 1)).toBeLessThan(tolerance);
    }
  });
});

test('the kept models are what derivation finds today', () => {
  expect(Object.keys(sandClassModels)).toEqual(sandClasses.map(({ key }) => key));
  const derived = deriveSeedbedModel(sandClass('coarse_open').bed);
  expect(derived.cost).toBeLessThan(0.1);
  const kept = modelOf('coarse_open');
  for (const demandMmPerH of [0.15, 0.4, 0.9]) {
    const now = storeMm(derived.model, derived.model.full, { demandMmPerH });
    const then = storeMm(kept, kept.full, { demandMmPerH });
    expect(Math.abs(now / then - 1)).toBeLessThan(0.02);
  }
});

describe('properties', () => {
  const model = fc.constantFrom(...Object.values(sandClassModels).map((kept) => kept.model));
  const filled = fc.tuple(
    fc.double({ min: 0, max: 1, noNaN: true }),
    fc.double({ min: 0, max: 1, noNaN: true }),
    fc.double({ min: 0, max: 1, noNaN: true }),
  );
  const stateOf = (of: SeedbedModel, [a, b, c]: [number, number, number]) => ({
    seedMm: a * of.seed.poreMm,
    belowMm: b * of.below.poreMm,
    rootMm: c * of.root.poreMm,
  });

  test('water is conserved and no store goes below zero', () => {
    const spell = fc.record({
      waterMm: fc.constantFrom(0, 0, 0.4, 3, 25),
      demandMm: fc.double({ min: 0, max: 1.5, noNaN: true }),
      hours: fc.constantFrom(0.02, 1 / 12, 0.5, 1, 6),
    });
    fc.assert(
      fc.property(model, filled, fc.array(spell, { minLength: 1, maxLength: 8 }), (of, at, all) => {
        let state = stateOf(of, at);
        for (const one of all) {
          const next = stepSeedbed(of, state, one);
          const before = state.seedMm + state.belowMm + state.rootMm + one.waterMm;
          const after = next.state.seedMm + next.state.belowMm + next.state.rootMm;
          expect(Math.abs(before - after - next.evaporatedMm - next.drainedMm)).toBeLessThan(1e-9);
          expect(
            Math.min(next.state.seedMm, next.state.belowMm, next.state.rootMm),
          ).toBeGreaterThan(0);
          expect(next.evaporatedMm).toBeLessThanOrEqual(one.demandMm + 1e-12);
          expect(next.evaporatedMm).toBeGreaterThanOrEqual(0);
          expect(next.drainedMm).toBeGreaterThan(-1e-7);
          state = next.state;
        }
      }),
      { numRuns: 300, seed: 7 },
    );
  });

  test('more demand never lengthens the time to dry, more water never shortens it', () => {
    const hourly = fc.array(fc.double({ min: 0.01, max: 1, noNaN: true }), {
      minLength: 4,
      maxLength: 30,
    });
    const more = fc.double({ min: 0, max: 0.5, noNaN: true });
    fc.assert(
      fc.property(model, filled, hourly, more, (of, at, demands, extra) => {
        const state = stateOf(of, at);
        const series = demands.map((demandMmPerH) => ({ hours: 1, demandMmPerH }));
        const hotter = series.map((one) => ({ ...one, demandMmPerH: one.demandMmPerH + extra }));
        const wetter = { ...state, seedMm: state.seedMm + extra };
        const never = Number.POSITIVE_INFINITY;
        const usual = hoursToDry(of, state, series)?.hours ?? never;
        // Interpolation between two five-minute looks may differ inside them.
        const look = 1 / 12 + 1e-9;
        expect(hoursToDry(of, state, hotter)?.hours ?? never).toBeLessThanOrEqual(usual + look);
        expect((hoursToDry(of, wetter, series)?.hours ?? never) + look).toBeGreaterThanOrEqual(
          usual,
        );
      }),
      { numRuns: 300, seed: 11 },
    );
  });

  test('a higher demand leaves every store lower', () => {
    fc.assert(
      fc.property(model, filled, fc.double({ min: 0, max: 1, noNaN: true }), (of, at, demandMm) => {
        const state = stateOf(of, at);
        const mild = stepSeedbed(of, state, { waterMm: 0, demandMm, hours: 1 }).state;
        const hot = stepSeedbed(of, state, {
          waterMm: 0,
          demandMm: demandMm + 0.2,
          hours: 1,
        }).state;
        expect(hot.seedMm).toBeLessThanOrEqual(mild.seedMm + 1e-9);
        expect(hot.belowMm).toBeLessThanOrEqual(mild.belowMm + 1e-9);
        expect(hot.rootMm).toBeLessThanOrEqual(mild.rootMm + 1e-9);
      }),
      { numRuns: 300, seed: 13 },
    );
  });
});

test('the one number falls to 0 at the dry limit, and the limit rises with demand', () => {
  const model = modelOf('coarse_open');
  let state = model.full;
  let before = Number.POSITIVE_INFINITY;
  while (!isDry(model, state, 0.6)) {
    const left = storeMm(model, state, { demandMmPerH: 0.6 });
    expect(left).toBeLessThan(before);
    before = left;
    state = stepSeedbed(model, state, { waterMm: 0, demandMm: 0.05, hours: 1 / 12 }).state;
  }
  expect(storeMm(model, state, { demandMmPerH: 0.6 })).toBe(0);
  expect(marginMm(model, state, 0.6)).toBeLessThanOrEqual(0);
  expect(dryLimitMm(model, 0)).toBe(model.limitMm);
  expect(dryLimitMm(model, 1)).toBeGreaterThan(dryLimitMm(model, 0.5));
  expect(roomMm(model, model.full)).toBe(0);
  expect(roomMm(model, model.dry)).toBeCloseTo(
    model.full.seedMm - model.dry.seedMm + model.drained.belowMm - model.dry.belowMm,
    9,
  );
});

test('impossible input is refused in words', () => {
  const model = modelOf('coarse_open');
  expect(() => stepSeedbed(model, model.full, { waterMm: 0, demandMm: -0.1, hours: 1 })).toThrow(
    'count dew as no demand',
  );
  expect(() => stepSeedbed(model, model.full, { waterMm: 0, demandMm: 0, hours: 0 })).toThrow(
    RangeError,
  );
  expect(() => storeMm(model, model.full, { demandMmPerH: 0 })).toThrow('storeMm: demand');
  expect(() => deriveSeedbedModel({ ...sandClass('coarse_open').bed, depthMm: 12 })).toThrow(
    'check the unit',
  );
});
