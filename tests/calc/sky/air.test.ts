import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  airPressureKPa,
  psychrometricKPaPerC,
  saturationKPa,
  saturationSlopeKPaPerC,
} from '../../../calc/sky/air.ts';
import {
  GREELEY_SLOPE_KPA_PER_C_BY_C,
  PRESSURE_KPA_BY_ELEVATION,
  PSYCHROMETRIC_BY_ELEVATION,
  SATURATION_KPA_BY_C,
  SLOPE_KPA_PER_C_BY_C,
} from '../../tables/fao56-air.ts';

describe('air', () => {
  it('keeps its tables whole', () => {
    expect(PSYCHROMETRIC_BY_ELEVATION).toHaveLength(7);
    expect(PRESSURE_KPA_BY_ELEVATION).toHaveLength(7);
    expect(SATURATION_KPA_BY_C).toHaveLength(9);
    expect(SLOPE_KPA_PER_C_BY_C).toHaveLength(9);
    expect(GREELEY_SLOPE_KPA_PER_C_BY_C).toHaveLength(10);
  });

  it.each(PSYCHROMETRIC_BY_ELEVATION)(
    'has the constant of FAO-56, Table 2.2, at %d m',
    (z, value) => {
      expect(psychrometricKPaPerC(airPressureKPa(z))).toBeCloseTo(value, 3);
    },
  );

  it.each(PRESSURE_KPA_BY_ELEVATION)('has its pressure at %d m (recomputed)', (z, value) => {
    expect(airPressureKPa(z)).toBeCloseTo(value, 1);
  });

  it.each(SATURATION_KPA_BY_C)('saturates as in FAO-56, Table 2.3, at %d °C', (tempC, value) => {
    expect(saturationKPa(tempC)).toBeCloseTo(value, 3);
  });

  it.each(SLOPE_KPA_PER_C_BY_C)('steepens as in FAO-56, Table 2.4, at %d °C', (tempC, value) => {
    expect(saturationSlopeKPaPerC(tempC)).toBeCloseTo(value, 3);
  });

  it.each(GREELEY_SLOPE_KPA_PER_C_BY_C)('steepens as at Greeley at %d °C', (tempC, value) => {
    // The means come from highs and lows of one decimal, so they are known to half a tenth.
    const halfDigitC = 0.05;
    const least = saturationSlopeKPaPerC(tempC - halfDigitC) - 0.00005;
    const most = saturationSlopeKPaPerC(tempC + halfDigitC) + 0.00005;
    expect(value).toBeGreaterThanOrEqual(least);
    expect(value).toBeLessThanOrEqual(most);
  });

  it('gives FAO-56, Examples 2 and 3, and the pressures of ASCE-EWRI 2005', () => {
    expect(airPressureKPa(1800)).toBeCloseTo(81.8, 1);
    expect(psychrometricKPaPerC(airPressureKPa(1800))).toBeCloseTo(0.054, 3);
    expect(saturationKPa(24.5)).toBeCloseTo(3.075, 3);
    expect(saturationKPa(15)).toBeCloseTo(1.705, 3);
    // Greeley, Table C-3, and Fallon as Ref-ET's library has it.
    expect(airPressureKPa(1462.4)).toBeCloseTo(85.17, 2);
    expect(psychrometricKPaPerC(airPressureKPa(1462.4))).toBeCloseTo(0.0566, 4);
    expect(airPressureKPa(1208.5)).toBeCloseTo(87.807105, 6);
  });

  it('rises with temperature, and its slope is the rise', () => {
    fc.assert(
      fc.property(fc.double({ min: -60, max: 60, noNaN: true }), (tempC) => {
        const rise = (saturationKPa(tempC + 0.01) - saturationKPa(tempC - 0.01)) / 0.02;
        expect(rise).toBeGreaterThan(0);
        expect(saturationSlopeKPaPerC(tempC) / rise).toBeCloseTo(1, 3);
      }),
      { seed: 5, numRuns: 200 },
    );
  });

  it('refuses the impossible', () => {
    expect(() => saturationKPa(-237.3)).toThrow(RangeError);
    expect(() => airPressureKPa(9000)).toThrow(
      'airPressureKPa: elevationM is out of range (got 9000); give -500 to 6000',
    );
  });
});
