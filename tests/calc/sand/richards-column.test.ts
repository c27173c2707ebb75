import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { evenGrid, growingGrid } from '../../../calc/sand/column-grid.ts';
import {
  fromPointFunctions,
  haverkamp,
  type SoilHydraulics,
  tabulated,
  vanGenuchtenMualem,
} from '../../../calc/sand/hydraulic-properties.ts';
import { createColumn, runColumn, storedMm } from '../../../calc/sand/richards-column.ts';
import { celiaOne, celiaTwo } from '../../tables/sand-celia.ts';

const still = { waterMmPerH: 0, demandMmPerH: 0 };
const coarse = vanGenuchtenMualem({
  residualFraction: 0.045,
  saturatedFraction: 0.43,
  alphaPerCm: 0.145,
  n: 2.68,
  saturatedMmPerH: 297,
});
const air = { kind: 'atmosphere', dryHeadMm: -1e5, pondMm: 5 } as const;

function runCelia(
  problem: typeof celiaOne | typeof celiaTwo,
  { soil, nodes, longestStepH }: { soil: SoilHydraulics; nodes: number; longestStepH: number },
) {
  const grid = evenGrid({ depthMm: problem.depthMm, nodes });
  const column = createColumn({
    grid,
    layers: [{ soil, lastNode: nodes - 1 }],
    top: { kind: 'fixed_head', headMm: problem.topHeadMm },
    bottom: { kind: 'fixed_head', headMm: problem.startHeadMm },
    headMm: problem.startHeadMm,
  });
  const beforeMm = storedMm(column);
  const flow = runColumn(column, { hours: problem.hours, ...still, longestStepH });
  const leftMm = storedMm(column);
  // The surface is wetted at once at the beginning: that water is part of the paper's storage too.
  const gainMm = leftMm - problem.depthMm * soil.waterFraction(problem.startHeadMm);
  const errorFraction =
    Math.abs(leftMm - beforeMm - flow.headInflowMm + flow.drainedMm) / flow.headInflowMm;
  const after = column.headMm.findIndex((head) => head < problem.frontHeadMm);
  const [upper, lower] = [
    column.headMm[after - 1] ?? Number.NaN,
    column.headMm[after] ?? Number.NaN,
  ];
  const spacing = problem.depthMm / (nodes - 1);
  const frontMm = (after - 1 + (upper - problem.frontHeadMm) / (upper - lower)) * spacing;
  return { column, flow, gainMm, errorFraction, frontMm, spacing };
}

describe('published infiltration problems', () => {
  test('the tables are whole', () => {
    expect(celiaOne.depths).toHaveLength(9);
    expect(celiaTwo.depths).toHaveLength(9);
    expect(celiaTwo.functions).toHaveLength(2);
  });

  test.each([
    [celiaOne, { soil: haverkamp(celiaOne.sand), nodes: 401, longestStepH: 0.0005 }],
    [celiaTwo, { soil: vanGenuchtenMualem(celiaTwo.sand), nodes: 501, longestStepH: 0.05 }],
  ] as const)('$source', (problem, run) => {
    const { column, flow, gainMm, errorFraction, frontMm, spacing } = runCelia(problem, run);
    // Independent recomputation; the paper's figures allow the front to half a centimetre.
    expect(Math.abs(frontMm - problem.frontMm)).toBeLessThan(1);
    expect(Math.abs(gainMm / problem.storedMm - 1)).toBeLessThan(0.01);
    expect(Math.abs(flow.headInflowMm / problem.inflowMm - 1)).toBeLessThan(0.01);
    for (const [depthMm, headMm, waterFraction] of problem.depths) {
      const node = Math.round(depthMm / spacing);
      // Ahead of and in the front a shift of 0.1 mm of the front moves the head by several mm.
      expect(Math.abs((column.headMm[node] ?? Number.NaN) / headMm - 1)).toBeLessThan(0.025);
      expect(Math.abs((column.waterFraction[node] ?? Number.NaN) - waterFraction)).toBeLessThan(
        0.001,
      );
    }
    expect(errorFraction).toBeLessThan(1e-6);
    // The carried water content is the curve's own: the balance is not bought by leaving the curve.
    column.headMm.forEach((headMm, node) => {
      const gap = (column.waterFraction[node] ?? Number.NaN) - run.soil.waterFraction(headMm);
      expect(Math.abs(gap)).toBeLessThan(1e-6);
    });
  });

  test('problem 1 on the coarse benchmark grid (independent recomputation)', () => {
    const run = { soil: haverkamp(celiaOne.sand), nodes: 41, longestStepH: 1 / 3600 };
    const { gainMm, frontMm } = runCelia(celiaOne, run);
    expect(Math.abs(frontMm - 158.4)).toBeLessThan(5);
    expect(Math.abs(gainMm / 23.94 - 1)).toBeLessThan(0.02);
  });
});

describe('steady evaporation from a water table, exponential conductivity', () => {
  // Gardner 1958, Soil Sci. 85:228-232 (from memory): with K = Ks exp(a h) and an upward flow e, the
  // steady conductivity at height y is (Ks + e) exp(-a y) - e, and e cannot pass Ks / (exp(a L) - 1).
  const perMm = 0.01;
  const fullMmPerH = 50;
  const lengthMm = 400;
  const soil = fromPointFunctions({
    saturatedFraction: 0.4,
    residualFraction: 0.05,
    saturatedMmPerH: fullMmPerH,
    waterFraction: (headMm) => 0.05 + 0.35 * Math.min(1, Math.exp(perMm * headMm)),
    capacityPerMm: (headMm) => (headMm >= 0 ? 0 : 0.35 * perMm * Math.exp(perMm * headMm)),
    conductivityMmPerH: (headMm) => fullMmPerH * Math.min(1, Math.exp(perMm * headMm)),
  });
  const mostMmPerH = fullMmPerH / (Math.exp(perMm * lengthMm) - 1);
  const build = (grid = evenGrid({ depthMm: lengthMm, nodes: 201 })) =>
    createColumn({
      grid,
      layers: [{ soil, lastNode: grid.depthMm.length - 1 }],
      top: { ...air, dryHeadMm: -1200 },
      bottom: { kind: 'fixed_head', headMm: 0 },
      headMm: grid.depthMm.map((depthMm) => depthMm - lengthMm),
    });

  test('heads at half the greatest flow', () => {
    const column = build();
    const demandMmPerH = mostMmPerH / 2;
    runColumn(column, { hours: 2000, waterMmPerH: 0, demandMmPerH, longestStepH: 20 });
    for (const depthMm of [0, 10, 50, 100, 200, 300]) {
      const y = lengthMm - depthMm;
      const k = (fullMmPerH + demandMmPerH) * Math.exp(-perMm * y) - demandMmPerH;
      const exactMm = Math.log(k / fullMmPerH) / perMm;
      expect(Math.abs((column.headMm[depthMm / 2] ?? Number.NaN) - exactMm)).toBeLessThan(0.5);
    }
  });

  test('a greater demand gets the greatest flow and no more', () => {
    // Fine at the top: the arithmetic mean between a moist and a dry node overstates their flow.
    const column = build(growingGrid({ depthMm: lengthMm, nodes: 100, firstMm: 1 }));
    const spell = { waterMmPerH: 0, demandMmPerH: 3 * mostMmPerH, longestStepH: 20 };
    runColumn(column, { ...spell, hours: 2000 });
    const flow = runColumn(column, { ...spell, hours: 100 });
    expect(flow.evaporatedMm / 100 / mostMmPerH).toBeGreaterThan(0.999);
    expect(flow.evaporatedMm / 100 / mostMmPerH).toBeLessThan(1.01);
  });
});

describe('a column over gravel', () => {
  const build = (headAtBottomMm: number) =>
    createColumn({
      grid: growingGrid({ depthMm: 300, nodes: 40, firstMm: 1 }),
      layers: [{ soil: tabulated(coarse), lastNode: 39 }],
      top: air,
      bottom: { kind: 'seepage_face' },
      headMm: Array.from(
        growingGrid({ depthMm: 300, nodes: 40, firstMm: 1 }).depthMm,
        (depthMm) => depthMm - 300 + headAtBottomMm,
      ),
    });

  test.each([0, -40])('hanging water at rest stays (bottom at %i mm)', (bottomMm) => {
    const column = build(bottomMm);
    const flow = runColumn(column, { hours: 48, ...still });
    expect(Math.abs(flow.drainedMm)).toBeLessThan(1e-6);
    column.headMm.forEach((headMm, node) => {
      const restMm = (column.grid.depthMm[node] ?? Number.NaN) - 300 + bottomMm;
      expect(Math.abs(headMm - restMm)).toBeLessThan(0.01);
    });
  });

  test('nothing leaves before the bottom is saturated, then all that comes', () => {
    const column = build(-200);
    const dry = runColumn(column, { hours: 0.5, waterMmPerH: 10, demandMmPerH: 0 });
    expect(dry.drainedMm).toBe(0);
    runColumn(column, { hours: 40, waterMmPerH: 10, demandMmPerH: 0 });
    const wet = runColumn(column, { hours: 1, waterMmPerH: 10, demandMmPerH: 0 });
    expect(wet.drainedMm).toBeCloseTo(10, 3);
    expect(column.headMm[39]).toBe(0);
  });
});

test('what the surface cannot take stands on it, then runs off, and nothing is lost', () => {
  const tight = vanGenuchtenMualem({
    residualFraction: 0.08,
    saturatedFraction: 0.43,
    alphaPerCm: 0.036,
    n: 1.56,
    saturatedMmPerH: 3,
  });
  const column = createColumn({
    grid: growingGrid({ depthMm: 300, nodes: 40, firstMm: 1 }),
    layers: [{ soil: tight, lastNode: 39 }],
    top: { ...air, pondMm: 4 },
    bottom: { kind: 'free_drainage' },
    headMm: -1000,
  });
  const beforeMm = storedMm(column);
  const flow = runColumn(column, { hours: 1, waterMmPerH: 40, demandMmPerH: 0 });
  expect(flow.runoffMm).toBeGreaterThan(5);
  expect(column.pondMm).toBeCloseTo(4, 6);
  const balanceMm =
    storedMm(column) + column.pondMm - beforeMm - 40 + flow.runoffMm + flow.drainedMm;
  expect(Math.abs(balanceMm)).toBeLessThan(1e-5);
  runColumn(column, { hours: 6, waterMmPerH: 0, demandMmPerH: 0.2 });
  expect(column.pondMm).toBe(0);
});

test('water is conserved for random sands, profiles and weather', () => {
  const sand = fc.record({
    residualFraction: fc.double({ min: 0.01, max: 0.08, noNaN: true }),
    saturatedFraction: fc.double({ min: 0.33, max: 0.5, noNaN: true }),
    alphaPerCm: fc.double({ min: 0.02, max: 0.16, noNaN: true }),
    n: fc.double({ min: 1.6, max: 6, noNaN: true }),
    saturatedMmPerH: fc.double({ min: 100, max: 600, noNaN: true }),
  });
  const hour = fc.record({
    waterMmPerH: fc.constantFrom(0, 0, 0, 1, 18, 40),
    demandMmPerH: fc.double({ min: 0, max: 1.2, noNaN: true }),
    hours: fc.constantFrom(0.05, 0.2, 1, 3),
  });
  fc.assert(
    fc.property(
      sand,
      sand,
      fc.array(hour, { minLength: 3, maxLength: 10 }),
      fc.constantFrom('free_drainage' as const, 'seepage_face' as const),
      (upper, lower, weather, kind) => {
        const column = createColumn({
          grid: growingGrid({ depthMm: 300, nodes: 40, firstMm: 1 }),
          layers: [
            { soil: tabulated(vanGenuchtenMualem(upper)), lastNode: 25 },
            { soil: tabulated(vanGenuchtenMualem(lower)), lastNode: 39 },
          ],
          top: air,
          bottom: { kind },
          headMm: -200,
        });
        const beforeMm = storedMm(column);
        let netMm = 0;
        let movedMm = 1;
        for (const spell of weather) {
          const flow = runColumn(column, spell);
          netMm += flow.waterMm - flow.evaporatedMm - flow.drainedMm - flow.runoffMm;
          movedMm += flow.waterMm + flow.evaporatedMm + flow.drainedMm;
          expect(flow.evaporatedMm).toBeLessThanOrEqual(spell.demandMmPerH * spell.hours + 1e-9);
          expect(flow.evaporatedMm).toBeGreaterThanOrEqual(-1e-9);
        }
        const errorMm = Math.abs(storedMm(column) + column.pondMm - beforeMm - netMm);
        expect(errorMm / movedMm).toBeLessThan(1e-6);
      },
    ),
    { numRuns: 25, seed: 1990 },
  );
});

test('wrong profiles are refused in words', () => {
  const grid = evenGrid({ depthMm: 100, nodes: 11 });
  const bottom = { kind: 'free_drainage' } as const;
  expect(() =>
    createColumn({ grid, layers: [{ soil: coarse, lastNode: 9 }], top: air, bottom, headMm: -100 }),
  ).toThrow(
    'createColumn: the last layer must end at node 10 (got 9); name the last node of each layer',
  );
  const layers = [{ soil: coarse, lastNode: 10 }];
  expect(() => createColumn({ grid, layers, top: air, bottom, headMm: [1, 2] })).toThrow(
    RangeError,
  );
  const column = createColumn({ grid, layers, top: air, bottom, headMm: -100 });
  expect(() => runColumn(column, { hours: 1, waterMmPerH: 0, demandMmPerH: -0.1 })).toThrow(
    'count dew as no demand',
  );
});
