import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  coverFraction,
  dryingFraction,
  exposedWettedFraction,
  soilEvaporationCoefficient,
  upperCoefficient,
  WET_SOIL_COEFFICIENT,
} from '../../../calc/growth/crop-coefficient.ts';
import {
  DRYING_LOAM,
  DUAL_ROWS,
  UPPER_COEFFICIENT_POINTS,
} from '../../tables/fao56-dual-coefficient.ts';

describe('upper limit of the crop coefficient', () => {
  it('keeps its tables whole', () => {
    expect(UPPER_COEFFICIENT_POINTS).toHaveLength(4);
    expect(DRYING_LOAM).toHaveLength(10);
    expect(DUAL_ROWS).toHaveLength(10);
  });

  it.each(UPPER_COEFFICIENT_POINTS)(
    'is FAO-56, Eq. 72, at %d m/s, %d %%, %d m',
    (wind, humidity, h, value) => {
      expect(
        upperCoefficient({
          windMPerS: wind,
          leastHumidityPct: humidity,
          heightM: h,
          basalCoefficient: 0,
          wetSoilCoefficient: 1.2,
        }),
      ).toBeCloseTo(value, 6);
    },
  );

  it('takes 1.1 for a surface wetted daily (FAO-56, p. 144) on bare ground, whatever the wind', () => {
    const bare = { leastHumidityPct: 30, heightM: 0, basalCoefficient: 0 };
    expect(WET_SOIL_COEFFICIENT).toBe(1.1);
    expect(upperCoefficient({ ...bare, windMPerS: 2 })).toBe(1.1);
    expect(upperCoefficient({ ...bare, windMPerS: 6 })).toBe(1.1);
  });

  it('never falls below the plants', () => {
    const dense = { windMPerS: 1, leastHumidityPct: 80, heightM: 0.1, basalCoefficient: 1.15 };
    expect(upperCoefficient(dense)).toBeCloseTo(1.2, 12);
  });
});

describe('soil evaporation under sprinklers, furrows and drip', () => {
  const upper = upperCoefficient({
    windMPerS: 3,
    leastHumidityPct: 20,
    heightM: 1,
    basalCoefficient: 0.9,
    wetSoilCoefficient: 1.2,
  });
  const cover = coverFraction({
    basalCoefficient: 0.9,
    leastCoefficient: 0.15,
    upperCoefficient: upper,
    heightM: 1,
  });
  const evaporation = (few: number) =>
    soilEvaporationCoefficient({
      basalCoefficient: 0.9,
      upperCoefficient: upper,
      exposedWettedFraction: few,
      dryingFraction: 1,
    });

  it('gives FAO-56, Example 32 (sprinklers)', () => {
    const few = exposedWettedFraction({ coverFraction: cover });
    expect(upper).toBeCloseTo(1.3, 2);
    expect(cover).toBeCloseTo(0.53, 2);
    expect(few).toBeCloseTo(0.47, 2);
    // The text multiplies its rounded figures.
    expect(Number(few.toFixed(2)) * Number(upper.toFixed(2))).toBeCloseTo(0.61, 2);
    expect(evaporation(few)).toBeCloseTo(0.4, 2);
    expect(0.9 + evaporation(few)).toBeCloseTo(1.3, 2);
  });

  it('gives FAO-56, Example 33 (furrows, 0.3 of the ground wetted)', () => {
    const few = exposedWettedFraction({ coverFraction: cover, wettedFraction: 0.3 });
    expect(few).toBe(0.3);
    expect(evaporation(few)).toBeCloseTo(0.39, 2);
    expect(0.9 + evaporation(few)).toBeCloseTo(1.29, 2);
  });

  it('gives FAO-56, Example 34 (drip, 0.19 of the ground wetted and exposed)', () => {
    expect(evaporation(0.19)).toBeCloseTo(0.25, 2);
    expect(0.9 + evaporation(0.19)).toBeCloseTo(1.15, 2);
  });
});

describe('the drying of a surface layer', () => {
  it('gives FAO-56, Example 31, bare loam over ten days', () => {
    for (const [depletionMm, drying, evaporation] of DRYING_LOAM) {
      const Kr = dryingFraction({ evaporableMm: 20, readilyMm: 9, depletionMm });
      // The printed depletion is rounded to hundredths, a thousandth of what dries.
      expect(Math.abs(Kr - drying)).toBeLessThan(0.01);
      const Ke = soilEvaporationCoefficient({
        basalCoefficient: 0.15,
        upperCoefficient: 1.2,
        exposedWettedFraction: 1,
        dryingFraction: Kr,
      });
      expect(Math.abs(Ke - evaporation)).toBeLessThan(0.01);
    }
  });

  it('gives FAO-56, Example 35, sandy loam under a growing crop (independent recomputation)', () => {
    const most = upperCoefficient({
      windMPerS: 1.6,
      leastHumidityPct: 35,
      heightM: 0.3,
      basalCoefficient: 0.4,
      wetSoilCoefficient: 1.2,
    });
    expect(most).toBeCloseTo(1.21, 2);
    for (const { exact, quoted, ...row } of DUAL_ROWS) {
      const Kr = dryingFraction({ evaporableMm: 18, readilyMm: 8, depletionMm: exact.startMm });
      const Ke = soilEvaporationCoefficient({
        ...row,
        upperCoefficient: most,
        dryingFraction: Kr,
      });
      expect(Math.abs(Kr - exact.drying)).toBeLessThan(0.005);
      expect(Math.abs(Ke - exact.evaporation)).toBeLessThan(0.005);
      // As an open hydrologic model quotes it: its figures carry roundings on their way that no
      // single Kc max reproduces, so their last digit counts whole.
      expect(Math.abs(Kr - quoted.drying)).toBeLessThan(0.01);
      expect(Math.abs(Ke - quoted.evaporation)).toBeLessThan(0.01);
    }
  });

  it('never lets a drier layer evaporate more', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 25, noNaN: true }),
        fc.double({ min: 0, max: 25, noNaN: true }),
        (a, b) => {
          const at = (depletionMm: number) =>
            dryingFraction({ evaporableMm: 20, readilyMm: 9, depletionMm });
          expect(at(Math.max(a, b))).toBeLessThanOrEqual(at(Math.min(a, b)));
        },
      ),
      { seed: 17, numRuns: 200 },
    );
  });

  it('refuses what cannot be', () => {
    expect(() => dryingFraction({ evaporableMm: 10, readilyMm: 11, depletionMm: 0 })).toThrow(
      'dryingFraction: readilyMm is out of range (got 11); give 0 to 10',
    );
    expect(() => exposedWettedFraction({ coverFraction: 1.1 })).toThrow(RangeError);
    expect(() =>
      coverFraction({
        basalCoefficient: 0.5,
        leastCoefficient: 0.5,
        upperCoefficient: 0.5,
        heightM: 0,
      }),
    ).toThrow('coverFraction: upper coefficient not above the least (got 0.5 and 0.5)');
  });
});
