import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  rateFromNozzle,
  triangularRowSpacingM,
} from '../../../calc/sprinkler/precipitation-rate.ts';
import { inSi, precipitationRates } from '../../tables/sprinkler-precipitation-rates.ts';

test('the table of printed rates is whole', () => {
  expect(precipitationRates).toHaveLength(5);
});

test.each(precipitationRates)('reproduces $source', (row) => {
  const { layout, rateMmPerH, toleranceMmPerH } = inSi(row);
  expect(Math.abs(rateFromNozzle(layout) - rateMmPerH)).toBeLessThanOrEqual(toleranceMmPerH);
});

test('a triangular layout holds its 0.866 in the row spacing, once', () => {
  const headSpacingM = 65 * 0.3048;
  const rowSpacingM = triangularRowSpacingM(headSpacingM);
  expect(rowSpacingM / headSpacingM).toBeCloseTo(0.866, 4);
  // 27.4 gpm, 65 ft triangular: 0.72 in/h (trade article), not 0.62 (0.866 forgotten) or 0.83 (twice).
  const rateMmPerH = rateFromNozzle({ flowLPerMin: 103.72, headSpacingM, rowSpacingM });
  expect(rateMmPerH / 25.4).toBeCloseTo(0.72, 2);
});

test('the same nozzle on a half circle doubles the rate, on a quarter makes it fourfold', () => {
  const full = { flowLPerMin: 100, headSpacingM: 20, rowSpacingM: 17 };
  expect(rateFromNozzle({ ...full, arcDeg: 180 })).toBeCloseTo(2 * rateFromNozzle(full), 10);
  expect(rateFromNozzle({ ...full, arcDeg: 90 })).toBeCloseTo(4 * rateFromNozzle(full), 10);
});

test('one litre a minute on one square metre is 60 mm/h, whatever the shape', () => {
  fc.assert(
    fc.property(fc.double({ min: 0.1, max: 30, noNaN: true }), (headSpacingM) => {
      const rowSpacingM = 1 / headSpacingM;
      const rate = rateFromNozzle({ flowLPerMin: 1, headSpacingM, rowSpacingM });
      expect(rate).toBeCloseTo(60, 8);
    }),
    { seed: 11, numRuns: 100 },
  );
});

test.each([
  [{ flowLPerMin: 0, headSpacingM: 20, rowSpacingM: 17 }, /rateFromNozzle\.flowLPerMin: .*got 0/],
  [{ flowLPerMin: 10, headSpacingM: -1, rowSpacingM: 17 }, /headSpacingM: .*got -1/],
  [{ flowLPerMin: 10, headSpacingM: 20, rowSpacingM: Number.NaN }, /rowSpacingM: .*got NaN/],
  [{ flowLPerMin: 10, headSpacingM: 20, rowSpacingM: 17, arcDeg: 361 }, /arcDeg: .*got 361/],
])('refuses %o', (layout, message) => {
  expect(() => rateFromNozzle(layout)).toThrow(RangeError);
  expect(() => rateFromNozzle(layout)).toThrow(message);
});
