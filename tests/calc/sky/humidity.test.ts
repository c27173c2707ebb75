import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  dewPointC,
  vapourPressureOfDewPointKPa,
  vapourPressureOfHumidityKPa,
} from '../../../calc/sky/air.ts';

describe('humidity', () => {
  it('gives the vapour pressures of FAO-56, each to its printed digit', () => {
    // Example 19.
    expect(vapourPressureOfHumidityKPa({ airTempC: 38, relativeHumidityPct: 52 })).toBeCloseTo(
      3.445,
      3,
    );
    expect(vapourPressureOfHumidityKPa({ airTempC: 28, relativeHumidityPct: 90 })).toBeCloseTo(
      3.402,
      3,
    );
    // Example 20.
    expect(vapourPressureOfDewPointKPa(14.8)).toBeCloseTo(1.68, 2);
  });

  it('finds the dew point again', () => {
    fc.assert(
      fc.property(fc.double({ min: -50, max: 50, noNaN: true }), (tempC) => {
        expect(dewPointC(vapourPressureOfDewPointKPa(tempC))).toBeCloseTo(tempC, 8);
      }),
      { seed: 6, numRuns: 200 },
    );
  });

  it('refuses the impossible', () => {
    expect(() => vapourPressureOfHumidityKPa({ airTempC: 20, relativeHumidityPct: 101 })).toThrow(
      'vapourPressureOfHumidityKPa: relativeHumidityPct is out of range (got 101); give 0 to 100',
    );
    expect(() => dewPointC(0)).toThrow(RangeError);
  });
});
