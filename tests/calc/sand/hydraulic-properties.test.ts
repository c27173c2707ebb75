import { describe, expect, test } from 'vitest';
import { evenGrid, gridFromDepths, growingGrid } from '../../../calc/sand/column-grid.ts';
import {
  haverkamp,
  tabulated,
  vanGenuchtenMualem,
} from '../../../calc/sand/hydraulic-properties.ts';
import { celiaOne, celiaTwo } from '../../tables/sand-celia.ts';

const sands = [
  ['van Genuchten', vanGenuchtenMualem(celiaTwo.sand)],
  ['Haverkamp', haverkamp(celiaOne.sand)],
  ['steep', vanGenuchtenMualem({ ...celiaTwo.sand, n: 6, alphaPerCm: 0.04 })],
] as const;

test('New Mexico sand at the ends of problem 2 (independent recomputation)', () => {
  const soil = vanGenuchtenMualem(celiaTwo.sand);
  for (const [headMm, waterFraction, conductivityMmPerH] of celiaTwo.functions) {
    expect(Math.abs(soil.waterFraction(headMm) - waterFraction)).toBeLessThan(5e-6);
    expect(Math.abs(soil.conductivityMmPerH(headMm) / conductivityMmPerH - 1)).toBeLessThan(2e-4);
  }
});

describe.each(sands)('%s', (_name, soil) => {
  test('the capacity is the slope of the water content', () => {
    for (const headMm of [-50, -200, -615, -3000, -1e4]) {
      const step = headMm * 1e-4;
      const slope =
        (soil.waterFraction(headMm - step) - soil.waterFraction(headMm + step)) / (-2 * step);
      expect(Math.abs(slope / soil.capacityPerMm(headMm) - 1)).toBeLessThan(1e-4);
    }
  });

  test('the table stays within its stated distance and never turns back', () => {
    const table = tabulated(soil);
    let before = Number.POSITIVE_INFINITY;
    for (let pf = -2; pf < 5; pf += 0.00713) {
      const headMm = -(10 ** pf);
      expect(Math.abs(table.waterFraction(headMm) - soil.waterFraction(headMm))).toBeLessThan(2e-5);
      if (headMm < -1) {
        const ratio = table.conductivityMmPerH(headMm) / soil.conductivityMmPerH(headMm);
        expect(Math.abs(ratio - 1)).toBeLessThan(0.003);
      }
      expect(table.waterFraction(headMm)).toBeLessThanOrEqual(before);
      before = table.waterFraction(headMm);
    }
    expect(table.waterFraction(5)).toBe(soil.saturatedFraction);
    expect(table.conductivityMmPerH(0)).toBe(soil.saturatedMmPerH);
  });
});

test('very dry sand keeps its conductivity above rounding', () => {
  const soil = vanGenuchtenMualem({ ...celiaTwo.sand, n: 3 });
  const ratio = soil.conductivityMmPerH(-1e5) / soil.conductivityMmPerH(-1e4);
  // Far from air entry K falls as suction^-(n - 1)(l + 2/m): 3.5 / 1 x 2 = 7 decades for n = 3.
  expect(Math.log10(ratio)).toBeCloseTo(-7, 3);
});

describe('films on the grains', () => {
  const sand = { ...celiaTwo.sand, n: 3 };
  const bare = vanGenuchtenMualem(sand);
  const filmed = vanGenuchtenMualem({ ...sand, filmFraction: 1e-4 });

  test('carry nothing when left out or 0, and hold no water', () => {
    const zero = vanGenuchtenMualem({ ...sand, filmFraction: 0 });
    for (const headMm of [-1, -100, -1e4]) {
      expect(zero.conductivityMmPerH(headMm)).toBe(bare.conductivityMmPerH(headMm));
      expect(filmed.waterFraction(headMm)).toBe(bare.waterFraction(headMm));
    }
  });

  test('are nothing beside wet pores, and all that is left in dry sand, by the power -1.5', () => {
    expect(filmed.conductivityMmPerH(0)).toBe(sand.saturatedMmPerH);
    const near = filmed.conductivityMmPerH(-20) / bare.conductivityMmPerH(-20);
    expect(Math.abs(near - 1)).toBeLessThan(1e-4);
    // Tokunaga 2009: a film's conductivity falls as the suction to the power 1.5 (from memory).
    const decade = filmed.conductivityMmPerH(-1e5) / filmed.conductivityMmPerH(-1e4);
    expect(Math.log10(decade)).toBeCloseTo(-1.5, 4);
    const perEntry = (1e5 * sand.alphaPerCm) / 10;
    expect(filmed.conductivityMmPerH(-1e5)).toBeCloseTo(
      1e-4 * sand.saturatedMmPerH * perEntry ** -1.5,
      12,
    );
  });

  test('are read from the table as from the functions', () => {
    const table = tabulated(filmed);
    for (const headMm of [-10, -500, -2e4]) {
      const ratio = table.conductivityMmPerH(headMm) / filmed.conductivityMmPerH(headMm);
      expect(Math.abs(ratio - 1)).toBeLessThan(0.003);
    }
  });
});

test('impossible sands are refused in words', () => {
  expect(() => vanGenuchtenMualem({ ...celiaTwo.sand, wettingAlphaFactor: 0.9 })).toThrow(
    'vanGenuchtenMualem: wettingAlphaFactor must be 1 or more (got 0.9)',
  );
  for (const filmFraction of [-1e-9, 1]) {
    expect(() => vanGenuchtenMualem({ ...celiaTwo.sand, filmFraction })).toThrow(
      'vanGenuchtenMualem: filmFraction must lie from 0 to below 1',
    );
  }
  expect(() => vanGenuchtenMualem({ ...celiaTwo.sand, n: 1 })).toThrow(
    'vanGenuchtenMualem: n must be above 1 (got 1); sands lie near 1.5 to 8',
  );
  expect(() => vanGenuchtenMualem({ ...celiaTwo.sand, saturatedFraction: 36.8 })).toThrow(
    'give both as fractions of the volume',
  );
  expect(() => haverkamp({ ...celiaOne.sand, alpha: 0 })).toThrow(
    'haverkamp: alpha must be above 0',
  );
});

test('grids', () => {
  const grid = growingGrid({ depthMm: 300, nodes: 40, firstMm: 1 });
  expect(grid.spacingMm[0]).toBeCloseTo(1, 6);
  expect(grid.depthMm[39]).toBe(300);
  expect(grid.widthMm.reduce((sum, width) => sum + width, 0)).toBeCloseTo(300, 9);
  expect(() => growingGrid({ depthMm: 300, nodes: 4, firstMm: 100 })).toThrow(RangeError);
  expect(() => gridFromDepths([0, 2, 1])).toThrow('depths must increase');
  expect(() => gridFromDepths([1, 2, 3])).toThrow(RangeError);
  expect(evenGrid({ depthMm: 10, nodes: 11 }).spacingMm[3]).toBeCloseTo(1, 12);
});

test.each([
  [haverkamp(celiaOne.sand), celiaOne.sand],
  [vanGenuchtenMualem(celiaTwo.sand), celiaTwo.sand],
])(
  'at and above saturation a sand takes up no more and conducts as it does when full',
  (soil, sand) => {
    for (const headMm of [0, 250]) {
      expect(soil.waterFraction(headMm)).toBe(sand.saturatedFraction);
      expect(soil.capacityPerMm(headMm)).toBe(0);
      expect(soil.conductivityMmPerH(headMm)).toBe(sand.saturatedMmPerH);
    }
  },
);
