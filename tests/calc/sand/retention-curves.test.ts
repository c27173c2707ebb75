import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { alphaThrough, fitRetention } from '../../../calc/sand/retention-curves.ts';
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

describe('the edges of what is believed', () => {
  const named = (change: Partial<Parameters<typeof fitRetention>[0]>) => () =>
    fitRetention({ ...report, ...change }, defaults);
  const points = (...given: (readonly [number, number])[]) => ({
    releasePoints: given.map(([suctionCm, waterFraction]) => ({ suctionCm, waterFraction })),
  });

  test('a point lies between residual and saturated, at a suction', () => {
    const sand = { residualFraction: 0.05, saturatedFraction: 0.4, n: 2 };
    const through = (suctionCm: number, waterFraction: number) => () =>
      alphaThrough(sand, { suctionCm, waterFraction });
    expect(through(30, 0.05)).toThrow(RangeError);
    expect(through(30, 0.4)).toThrow(RangeError);
    expect(through(0, 0.2)).toThrow(RangeError);
    expect(through(30, 0.5)).toThrow(RangeError);
    // Half filled at n = 2: (1/2)^-2 - 1 = 3 under the root.
    expect(alphaThrough(sand, { suctionCm: 0.5, waterFraction: 0.225 })).toBeCloseTo(
      Math.sqrt(3) / 0.5,
      9,
    );
  });

  test('porosities are below 0.7, the capillary one the smaller, conductivity above 0', () => {
    const refused = 'divide percentages by 100';
    expect(named({ capillaryPorosityFraction: 0 })).toThrow(refused);
    expect(named({ capillaryPorosityFraction: 0.41 })).toThrow(refused);
    expect(named({ totalPorosityFraction: 0.7 })).toThrow(refused);
    expect(named({ saturatedMmPerH: 0 })).toThrow(refused);
    expect(named({ totalPorosityFraction: 0.69 })).not.toThrow();
    expect(named({ saturatedMmPerH: 0.5 })).not.toThrow();
  });

  test('release points have a suction and water up to the total porosity', () => {
    const refused = 'check the units';
    expect(named(points([0, 0.3]))).toThrow(refused);
    expect(named(points([20, 0]))).toThrow(refused);
    expect(named(points([20, 0.42]))).toThrow(refused);
    expect(named(points([0.5, 0.41]))).not.toThrow();
  });

  test('a point within half a centimetre of 30 cm stands for the capillary porosity', () => {
    expect(named(points([20, 0.3], [30.4, 0.2]))().fitted).toEqual(['alphaPerCm']);
    expect(named(points([20, 0.3], [30.5, 0.2]))().fitted).toEqual(['alphaPerCm', 'n']);
    expect(named(points([20, 0.3], [29.5, 0.2]))().fitted).toEqual(['alphaPerCm', 'n']);
  });

  test('a curve like a step is fitted as steep as is allowed, and no steeper', () => {
    const steep = 1 + Math.exp(2.7);
    const three = named(points([28, 0.409], [32, 0.045]))();
    expect(three.fitted).toEqual(['alphaPerCm', 'n']);
    expect(three.sand.n).toBeCloseTo(steep, 6);
    const five = named(points([26, 0.41], [28, 0.409], [32, 0.045], [34, 0.042]))();
    expect(five.fitted).toContain('residualFraction');
    expect(five.sand.n).toBeCloseTo(steep, 6);
  });

  test('a sand that holds nothing in the end is fitted with the least residual', () => {
    const soil = vanGenuchtenMualem({
      ...defaults,
      saturatedFraction: 0.41,
      residualFraction: 0,
      alphaPerCm: 0.05,
      n: 3,
    });
    const of = (suctionCm: number) => [suctionCm, soil.waterFraction(-10 * suctionCm)] as const;
    const fit = named({
      capillaryPorosityFraction: soil.waterFraction(-300),
      ...points(of(10), of(30), of(60), of(100), of(300)),
    })();
    expect(fit.sand.residualFraction).toBeCloseTo(0.001, 6);
  });
});
