import { describe, expect, it } from 'vitest';
import { windAt2mMPerS } from '../../../calc/sky/air.ts';
import { WIND_FACTOR_BY_HEIGHT_M } from '../../tables/fao56-air.ts';

describe('wind at 2 m', () => {
  it('keeps its table whole', () => {
    expect(WIND_FACTOR_BY_HEIGHT_M).toHaveLength(5);
  });

  it.each(WIND_FACTOR_BY_HEIGHT_M)(
    'takes the factor of FAO-56, Table 2.9, from %d m',
    (heightM, factor) => {
      expect(windAt2mMPerS({ windMPerS: 1, heightM })).toBeCloseTo(factor, 3);
    },
  );

  it('gives FAO-56, Examples 14 and 18, and the wind of Fallon', () => {
    expect(windAt2mMPerS({ windMPerS: 3.2, heightM: 10 })).toBeCloseTo(2.4, 1);
    expect(windAt2mMPerS({ windMPerS: 10 / 3.6, heightM: 10 })).toBeCloseTo(2.078, 3);
    expect(windAt2mMPerS({ windMPerS: 4.8 * 0.44704, heightM: 3 })).toBeCloseTo(1.976112, 5);
  });

  it('refuses an anemometer in the grass and a wind below nothing', () => {
    expect(() => windAt2mMPerS({ windMPerS: 1, heightM: 0.1 })).toThrow(
      'windAt2mMPerS: heightM is out of range (got 0.1); give 0.5 to 200',
    );
    expect(() => windAt2mMPerS({ windMPerS: -1, heightM: 2 })).toThrow(RangeError);
  });
});
