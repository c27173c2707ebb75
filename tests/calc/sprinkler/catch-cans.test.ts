import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  catchCanResult,
  christiansenUniformityPct,
  lowQuarterUniformityPct,
} from '../../../calc/sprinkler/precipitation-rate.ts';
import { catchCanSets } from '../../tables/sprinkler-catch-cans.ts';

test('the table of catch-can sets is whole', () => {
  expect(catchCanSets.map((set) => set.catches.length)).toEqual([15, 16]);
});

test.each(catchCanSets)('low-quarter uniformity of the $source', (set) => {
  const difference = lowQuarterUniformityPct(set.catches) - set.duLowQuarterPct;
  expect(Math.abs(difference)).toBeLessThanOrEqual(set.tolerancePct);
});

test("Christiansen's coefficient of the first set (independent recomputation)", () => {
  expect(christiansenUniformityPct(catchCanSets[0].catches)).toBeCloseTo(69.14, 2);
});

test('rate agrees with the form in US units, 3.66 V / (A t) (from memory, exact 60 / 16.387)', () => {
  const collectorAreaCm2 = 100;
  const { precipitationRateMmPerH } = catchCanResult({
    volumesMl: [30, 34, 26],
    collectorAreaCm2,
    runMin: 12,
  });
  const inPerH = ((60 / 16.387064) * 30) / ((collectorAreaCm2 / 6.4516) * 12);
  expect(precipitationRateMmPerH).toBeCloseTo(inPerH * 25.4, 8);
  expect(precipitationRateMmPerH).toBeCloseTo(15, 10);
});

test('depths are in mm, in the order given', () => {
  const result = catchCanResult({ volumesMl: [25, 50], collectorAreaCm2: 100, runMin: 10 });
  expect(result.depthsMm).toEqual([2.5, 5]);
  expect(result.meanDepthMm).toBe(3.75);
});

test('cautions: few cans, cans not in fours, and wind above 2.2 m/s', () => {
  const codes = (cans: number, windMPerS?: number) =>
    catchCanResult({
      volumesMl: new Array(cans).fill(20),
      collectorAreaCm2: 100,
      runMin: 10,
      ...(windMPerS === undefined ? {} : { windMPerS }),
    }).cautions.map((caution) => caution.code);
  expect(codes(24, 2.2)).toEqual([]);
  expect(codes(23)).toEqual(['few_cans', 'cans_not_in_fours']);
  expect(codes(28, 2.3)).toEqual(['windy']);
});

test('uniformity is at most 100, does not depend on the order or the unit of the catches', () => {
  const catches = fc.array(fc.double({ min: 0.1, max: 90, noNaN: true }), {
    minLength: 1,
    maxLength: 40,
  });
  fc.assert(
    fc.property(catches, fc.double({ min: 0.5, max: 4, noNaN: true }), (volumes, factor) => {
      const du = lowQuarterUniformityPct(volumes);
      expect(du).toBeGreaterThan(0);
      expect(du).toBeLessThanOrEqual(100 + 1e-9);
      expect(christiansenUniformityPct(volumes)).toBeLessThanOrEqual(100);
      const other = volumes.map((volume) => volume * factor).reverse();
      expect(lowQuarterUniformityPct(other)).toBeCloseTo(du, 8);
    }),
    { seed: 12, numRuns: 100 },
  );
});

test('refuses no cans, empty cans and a negative catch', () => {
  expect(() => lowQuarterUniformityPct([])).toThrow(/no can caught anything \(got 0 cans\)/);
  expect(() => lowQuarterUniformityPct([0, 0])).toThrow(RangeError);
  expect(() => christiansenUniformityPct([3, -1])).toThrow(/catches\[1\]: .*got -1/);
  expect(() => catchCanResult({ volumesMl: [1], collectorAreaCm2: 0, runMin: 1 })).toThrow(
    /collectorAreaCm2/,
  );
});
