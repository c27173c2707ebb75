import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { membersOfClass, sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import {
  rootedMarginMm,
  rootReach,
  stepRooted,
  withinReach,
} from '../../../calc/sand/seedbed-dynamics.ts';
import { isDry, type SeedbedModel, stepSeedbed } from '../../../calc/sand/seedbed-model.ts';
import type { StoreState } from '../../../calc/sand/seedbed-store.ts';

const models: SeedbedModel[] = Object.entries(sandClassModels).flatMap(([key, { model }]) => [
  model,
  ...membersOfClass(key).map((member) => member.model),
]);
const someModel = fc.constantFrom(...models);
const part = fc.double({ min: 0, max: 1, noNaN: true });
/** Anything between empty and thoroughly wetted. */
const someBed = fc.tuple(someModel, part, part, part).map(([model, seed, below, root]) => ({
  model,
  state: {
    seedMm: seed * model.full.seedMm,
    belowMm: below * model.full.belowMm,
    rootMm: root * model.full.rootMm,
  },
}));
const DEPTHS_MM = [18, 38, 60, 100];

describe('what roots reach', () => {
  // Worked out by hand on an invented bed: 8, 40 and 252 mm of sand that hold 0.8, 4 and 25.2 mm.
  const layer = {
    thicknessMm: 0,
    poreMm: 1,
    fallMmPerH: 0,
    fallPower: 2,
    riseMmPerH: 0,
    risePower: 1,
  };
  const drained = { seedMm: 0.8, belowMm: 4, rootMm: 25.2 };
  const invented: SeedbedModel = {
    seed: { ...layer, thicknessMm: 8, poreMm: 3 },
    below: { ...layer, thicknessMm: 40, poreMm: 15 },
    root: { ...layer, thicknessMm: 252, poreMm: 97 },
    supplyMmPerH: 1000,
    supplyPower: 3,
    limitMm: 0.4,
    full: { seedMm: 1.6, belowMm: 8, rootMm: 50 },
    drained,
    dry: { seedMm: 0.4, belowMm: 2, rootMm: 20 },
  };

  it.each([
    // Half of the seed layer's 0.8 mm, and of the part that is reached of the two others.
    [18, 0.4 + 0.5 * (10 / 40) * 4],
    [48, 0.4 + 0.5 * 4],
    [100, 0.4 + 0.5 * 4 + 0.5 * (52 / 252) * 25.2],
    [300, 0.5 * (0.8 + 4 + 25.2)],
  ])('down to %d mm is half of what the sand holds there after a night', (depthMm, expectedMm) => {
    const reach = rootReach(invented, depthMm);
    expect(rootedMarginMm(invented, reach, drained)).toBeCloseTo(expectedMm, 10);
  });

  it('is nothing where every layer is down to half', () => {
    const half = { seedMm: 0.4, belowMm: 2, rootMm: 12.6 };
    expect(rootedMarginMm(invented, rootReach(invented, 300), half)).toBeCloseTo(0, 10);
    const drier = { ...half, belowMm: 1.9 };
    expect(rootedMarginMm(invented, rootReach(invented, 48), drier)).toBeLessThanOrEqual(0);
  });

  it('is never less for deeper roots', () => {
    fc.assert(
      fc.property(someBed, ({ model, state }) => {
        const margins = DEPTHS_MM.map((depth) =>
          rootedMarginMm(model, rootReach(model, depth), state),
        );
        for (const [index, margin] of margins.entries()) {
          expect(margin).toBeGreaterThanOrEqual((margins[index - 1] ?? -1e9) - 1e-9);
        }
      }),
      { seed: 5, numRuns: 300 },
    );
  });
});

describe('a bed with roots', () => {
  const step = fc.record({
    waterMm: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 3, noNaN: true })),
    demandMm: fc.double({ min: 0, max: 1, noNaN: true }),
    hours: fc.double({ min: 0.05, max: 1, noNaN: true }),
  });

  it('keeps every drop, and gives no more than is asked', () => {
    fc.assert(
      fc.property(
        someBed,
        fc.constantFrom(...DEPTHS_MM),
        step,
        ({ model, state }, depth, spell) => {
          const after = stepRooted(model, rootReach(model, depth), { state, spell });
          const sum = ({ seedMm, belowMm, rootMm }: typeof state) => seedMm + belowMm + rootMm;
          const goneMm = sum(state) + spell.waterMm - sum(after.state);
          expect(after.evaporatedMm + after.drainedMm).toBeCloseTo(goneMm, 8);
          expect(after.evaporatedMm).toBeLessThanOrEqual(spell.demandMm + 1e-9);
          expect(Math.min(...Object.values(after.state))).toBeGreaterThanOrEqual(0);
        },
      ),
      { seed: 6, numRuns: 300 },
    );
  });

  it('is the bed without them until its surface is dry, and then drinks from below', () => {
    for (const model of models) {
      const reach = rootReach(model, 60);
      const spell = { waterMm: 0, demandMm: 0.8 / 12, hours: 1 / 12 };
      let [bare, rooted] = [model.drained, model.drained];
      let surface = true;
      for (let turn = 0; turn < 400 && surface; turn++) {
        expect(rooted).toEqual(bare);
        bare = stepSeedbed(model, bare, spell).state;
        rooted = stepRooted(model, reach, { state: rooted, spell }).state;
        surface = !isDry(model, bare, 0.8);
      }
      for (let turn = 0; turn < 12; turn++) {
        const { seedMm, belowMm, rootMm } = withinReach(model, reach, rooted);
        if (seedMm + belowMm + rootMm < 2 * spell.demandMm) break;
        const given = stepRooted(model, reach, { state: rooted, spell });
        expect(given.evaporatedMm).toBeGreaterThan(0.9 * spell.demandMm);
        rooted = given.state;
      }
    }
  });

  it('counts as moist only while it gives what the air asks', () => {
    fc.assert(
      fc.property(
        someBed,
        fc.constantFrom(...DEPTHS_MM),
        fc.double({ min: 0.1, max: 1, noNaN: true }),
        ({ model, state }, depth, rate) => {
          const store = modelStore(model, depth);
          const demandMm = rate / 12;
          let now: StoreState = state;
          let steps = 0;
          while (store.marginMm(now, rate) > 0 && steps < 300) {
            now = store.step(now, { waterMm: 0, demandMm, hours: 1 / 12 }).state;
            steps += 1;
          }
          const askedMm = Math.max(0, steps - 1) * demandMm;
          // A plan counts what the air asks until the bed is dry: so much must have been given.
          if (steps < 300)
            expect(Math.max(0, store.leftMm(state, rate))).toBeGreaterThan(0.94 * askedMm - 1e-9);
        },
      ),
      { seed: 9, numRuns: 150 },
    );
  });

  it('lasts longer the deeper they go, on every sand and from any state', () => {
    fc.assert(
      fc.property(
        someBed,
        fc.double({ min: 0.1, max: 1, noNaN: true }),
        ({ model, state }, rate) => {
          const lefts = [0, ...DEPTHS_MM].map((depth) =>
            modelStore(model, depth).leftMm(state, rate),
          );
          for (const [index, left] of lefts.entries()) {
            const before = lefts[index - 1] ?? Number.NEGATIVE_INFINITY;
            // A dry bed has no store: its margin tells how far it is from having one.
            expect(Math.max(0, left)).toBeGreaterThanOrEqual(Math.max(0, before) * (1 - 1e-6));
          }
        },
      ),
      { seed: 7, numRuns: 60 },
    );
  });

  it('takes no less at once the deeper they go', () => {
    fc.assert(
      fc.property(someBed, ({ model, state }) => {
        const rooms = [0, ...DEPTHS_MM].map((depth) => modelStore(model, depth).roomMm(state));
        expect(rooms).toEqual(rooms.toSorted((a, b) => a - b));
      }),
      { seed: 8, numRuns: 200 },
    );
  });
});
