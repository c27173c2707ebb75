import { describe, expect, it } from 'vitest';
import { sayDayCall } from '../../../daemon/words/weather-words.ts';
import { inventedReader } from '../../reader.ts';

describe('sayDayCall', () => {
  it.each([
    [3, 1.5, 0, 'metric', '3 °C hotter, wind x 1.5'],
    [-2, 1, 0.2, 'metric', '2 °C cooler, 20 % less sun'],
    [5 / 1.8, 0.5, -0.1, 'us', '5 °F hotter, wind x 0.5, 10 % more sun'],
    [0, 1, 0, 'us', 'the forecast as it is'],
  ] as const)(
    '%d K, wind %d, cloud %d in %s units',
    (hotterK, windFraction, cloudierFraction, units, said) => {
      const reader = inventedReader(units);
      expect(sayDayCall({ hotterK, windFraction, cloudierFraction }, reader)).toBe(said);
    },
  );
});
