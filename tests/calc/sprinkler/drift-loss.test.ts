import fc from 'fast-check';
import { expect, test } from 'vitest';
import { driftLoss } from '../../../calc/sprinkler/drift-loss.ts';
import { driftLossPoints } from '../../tables/sprinkler-drift-loss.ts';

test('the table of points is whole', () => {
  expect(driftLossPoints).toHaveLength(3);
});

test.each(driftLossPoints)(
  'day loss at $windMPerS m/s and $relativeHumidityPct % (Playán et al. 2005, independent recomputation)',
  (point) => {
    const { lossFraction } = driftLoss({ ...point, isDay: true });
    expect(Math.abs(100 * lossFraction - point.dayPct)).toBeLessThanOrEqual(0.005 + 1e-9);
  },
);

test.each(driftLossPoints)(
  'night loss at $windMPerS m/s: the quadratic, never above the day',
  (point) => {
    const { lossFraction } = driftLoss({ ...point, isDay: false });
    const expected = Math.min(point.nightPct, point.dayPct);
    expect(Math.abs(100 * lossFraction - expected)).toBeLessThanOrEqual(0.005 + 1e-9);
  },
);

const wind = fc.double({ min: 0, max: 20, noNaN: true });
const humidity = fc.double({ min: 0, max: 100, noNaN: true });

test('loss lies in [0, 1), grows with wind and dryness, and is never more by night', () => {
  fc.assert(
    fc.property(wind, wind, humidity, humidity, fc.boolean(), (u1, u2, rh1, rh2, isDay) => {
      const calmMoist = driftLoss({
        windMPerS: Math.min(u1, u2),
        relativeHumidityPct: Math.max(rh1, rh2),
        isDay,
      });
      const windyDry = {
        windMPerS: Math.max(u1, u2),
        relativeHumidityPct: Math.min(rh1, rh2),
      };
      const loss = driftLoss({ ...windyDry, isDay }).lossFraction;
      expect(calmMoist.lossFraction).toBeGreaterThanOrEqual(0);
      expect(loss).toBeLessThan(1);
      expect(loss).toBeGreaterThanOrEqual(calmMoist.lossFraction);
      const byNight = driftLoss({ ...windyDry, isDay: false }).lossFraction;
      expect(byNight).toBeLessThanOrEqual(driftLoss({ ...windyDry, isDay: true }).lossFraction);
    }),
    { seed: 13, numRuns: 300 },
  );
});

test('outside the trials the nearest edge is used and named', () => {
  const storm = { windMPerS: 12, relativeHumidityPct: 10, airTempC: 41, isDay: true };
  const edge = driftLoss({ windMPerS: 7, relativeHumidityPct: 25, isDay: true });
  expect(driftLoss(storm)).toEqual({
    lossFraction: edge.lossFraction,
    clamped: true,
    outsideRange: ['windMPerS', 'relativeHumidityPct', 'airTempC'],
  });
  expect(edge).toMatchObject({ clamped: false, outsideRange: [] });
  const cold = driftLoss({ windMPerS: 2, relativeHumidityPct: 50, airTempC: 4, isDay: true });
  expect(cold).toMatchObject({ clamped: false, outsideRange: ['airTempC'] });
});

test('refuses weather that cannot be', () => {
  expect(() => driftLoss({ windMPerS: -1, relativeHumidityPct: 50, isDay: true })).toThrow(
    /driftLoss\.windMPerS: .*got -1/,
  );
  expect(() => driftLoss({ windMPerS: 1, relativeHumidityPct: 101, isDay: true })).toThrow(
    RangeError,
  );
});
