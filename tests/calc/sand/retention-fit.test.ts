import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { vanGenuchtenMualem } from '../../../calc/sand/retention.ts';
import { alphaThrough, fitRetention } from '../../../calc/sand/retention-fit.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';
import { celiaTwo } from '../../tables/sand-celia.ts';

const defaults = sandClass('medium_over_gravel').bed.sand;
const report = {
  totalPorosityFraction: 0.41,
  capillaryPorosityFraction: 0.2,
  saturatedMmPerH: 300,
};

test('alpha through a point of the New Mexico sand (Celia et al. 1990; point recomputed)', () => {
  const point = { suctionCm: 1000, waterFraction: 0.10994 };
  expect(alphaThrough(celiaTwo.sand, point)).toBeCloseTo(0.0335, 4);
});

describe('with porosities only', () => {
  test('the curve passes through the water at 30 cm with the class’s n and residual', () => {
    const { sand, fitted, missFraction } = fitRetention(report, defaults);
    expect(fitted).toEqual(['alphaPerCm']);
    expect(vanGenuchtenMualem(sand).waterFraction(-300)).toBeCloseTo(0.2, 12);
    expect(vanGenuchtenMualem(sand).waterFraction(0)).toBe(0.41);
    expect([sand.n, sand.residualFraction]).toEqual([defaults.n, defaults.residualFraction]);
    expect(missFraction).toBeLessThan(1e-12);
  });

  test('a single further point does not change that', () => {
    const more = { ...report, releasePoints: [{ suctionCm: 20, waterFraction: 0.28 }] };
    expect(fitRetention(more, defaults).sand).toEqual(fitRetention(report, defaults).sand);
  });
});

describe('with a release curve', () => {
  const shape = fc.record({
    residualFraction: fc.double({ min: 0.01, max: 0.07, noNaN: true }),
    alphaPerCm: fc.double({ min: 0.025, max: 0.07, noNaN: true }),
    n: fc.double({ min: 1.8, max: 6, noNaN: true }),
  });

  test('a sand’s own points give the sand back', () => {
    fc.assert(
      fc.property(shape, (parts) => {
        const truth = { ...parts, saturatedFraction: 0.41, saturatedMmPerH: 300 };
        const soil = vanGenuchtenMualem(truth);
        const fit = fitRetention(
          {
            ...report,
            capillaryPorosityFraction: soil.waterFraction(-300),
            releasePoints: [10, 20, 30, 40, 60, 100].map((suctionCm) => ({
              suctionCm,
              waterFraction: soil.waterFraction(-10 * suctionCm),
            })),
          },
          defaults,
        );
        expect(fit.fitted).toEqual(['alphaPerCm', 'n', 'residualFraction']);
        expect(fit.missFraction).toBeLessThan(1e-4);
        expect(Math.abs(fit.sand.n / truth.n - 1)).toBeLessThan(0.02);
        expect(Math.abs(fit.sand.alphaPerCm / truth.alphaPerCm - 1)).toBeLessThan(0.01);
      }),
      { numRuns: 40, seed: 1980 },
    );
  });

  test('three points move alpha and n and leave residual', () => {
    const soil = vanGenuchtenMualem({ ...defaults, n: 4, saturatedFraction: 0.41 });
    const releasePoints = [20, 30, 40].map((suctionCm) => ({
      suctionCm,
      waterFraction: soil.waterFraction(-10 * suctionCm),
    }));
    const capillaryPorosityFraction = soil.waterFraction(-300);
    const fit = fitRetention({ ...report, capillaryPorosityFraction, releasePoints }, defaults);
    expect(fit.fitted).toEqual(['alphaPerCm', 'n']);
    expect(fit.sand.n).toBeCloseTo(4, 2);
    expect(fit.sand.residualFraction).toBe(defaults.residualFraction);
  });

  test('an uneven curve (invented) is met in the mean', () => {
    const releasePoints = [
      { suctionCm: 10, waterFraction: 0.385 },
      { suctionCm: 20, waterFraction: 0.31 },
      { suctionCm: 30, waterFraction: 0.2 },
      { suctionCm: 40, waterFraction: 0.155 },
      { suctionCm: 60, waterFraction: 0.08 },
    ];
    const fit = fitRetention({ ...report, releasePoints }, defaults);
    expect(fit.missFraction).toBeLessThan(0.012);
    expect(fit.missFraction).toBeGreaterThan(0.001);
  });
});

test('a report that contradicts itself is refused in words', () => {
  expect(() => fitRetention({ ...report, capillaryPorosityFraction: 20 }, defaults)).toThrow(
    'divide percentages by 100',
  );
  expect(() => fitRetention({ ...report, capillaryPorosityFraction: 0.03 }, defaults)).toThrow(
    'alphaThrough: the water content must lie between residual 0.04 and saturated 0.41 (got 0.03 at 30 cm); check the report',
  );
  const releasePoints = [{ suctionCm: 10, waterFraction: 38 }];
  expect(() => fitRetention({ ...report, releasePoints }, defaults)).toThrow('check the units');
});
