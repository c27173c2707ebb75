import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  dewPointC,
  vapourPressureOfDewPointKPa,
  vapourPressureOfHumidityExtremesKPa,
  vapourPressureOfHumidityKPa,
  vapourPressureOfMeanHumidityKPa,
  vapourPressureOfWetBulbKPa,
} from '../../../calc/sky/humidity.ts';

describe('humidity', () => {
  it('gives the vapour pressures of FAO-56, each to its printed digit', () => {
    const wetBulb = { airTempC: 25.6, wetBulbC: 19.5, pressureKPa: 87.9 };
    // Example 4.
    expect(vapourPressureOfWetBulbKPa({ ...wetBulb, ventilation: 'aspirated' })).toBeCloseTo(
      1.91,
      2,
    );
    // Example 5: from the extremes, and from the mean alone.
    const day = { highC: 25, lowC: 18 };
    expect(
      vapourPressureOfHumidityExtremesKPa({ ...day, highestPct: 82, lowestPct: 54 }),
    ).toBeCloseTo(1.7, 2);
    expect(vapourPressureOfMeanHumidityKPa({ ...day, meanPct: 68 })).toBeCloseTo(1.78, 2);
    // Example 18, Uccle.
    const uccle = { highC: 21.5, lowC: 12.3, highestPct: 84, lowestPct: 63 };
    expect(vapourPressureOfHumidityExtremesKPa(uccle)).toBeCloseTo(1.409, 3);
    expect(vapourPressureOfHumidityExtremesKPa(uccle)).toBeCloseTo(1.40862, 5);
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

  it('gives less vapour the less the wet bulb is ventilated, and never less than none', () => {
    const dry = { airTempC: 40, wetBulbC: 12, pressureKPa: 101.3 };
    expect(vapourPressureOfWetBulbKPa({ ...dry, ventilation: 'indoor' })).toBe(0);
    const moist = { airTempC: 25, wetBulbC: 20, pressureKPa: 101.3 };
    expect(vapourPressureOfWetBulbKPa({ ...moist, ventilation: 'natural' })).toBeLessThan(
      vapourPressureOfWetBulbKPa({ ...moist, ventilation: 'aspirated' }),
    );
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
    expect(() =>
      vapourPressureOfWetBulbKPa({
        airTempC: 20,
        wetBulbC: 21,
        pressureKPa: 100,
        ventilation: 'natural',
      }),
    ).toThrow(RangeError);
    expect(() => dewPointC(0)).toThrow(RangeError);
  });
});
