import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  irrigationSalinityNotice,
  reclaimedWaterNotice,
  waterAgainstLossNotice,
  waterSalinityClass,
} from '../../../../calc/growth/hazards/water-notices.ts';
import { HOUR_MS } from './weather-hours.ts';

const span = { fromMs: 0, toMs: 24 * HOUR_MS };

test('water classes at 0.7 and 3.0 dS/m (Ayers & Westcot 1985, FAO-29, from memory)', () => {
  expect([0, 0.69, 0.7, 3, 3.01].map(waterSalinityClass)).toEqual([
    'none',
    'none',
    'slight_to_moderate',
    'slight_to_moderate',
    'severe',
  ]);
  expect(() => waterSalinityClass(-1)).toThrow(/waterDSPerM: .*got -1/);
});

test('saline water is worse while seed comes up', () => {
  const severity = (waterDSPerM: number, comingUp: boolean) =>
    irrigationSalinityNotice({ ...span, waterDSPerM, comingUp })?.severity;
  expect(severity(0.5, true)).toBeUndefined();
  expect(severity(0.9, true)).toBe('note');
  expect(severity(1, true)).toBe('warn');
  expect(severity(1, false)).toBe('note');
  expect(severity(3.5, false)).toBe('danger');
});

test('cycles outside the permitted hours are shown; touching stretches are one', () => {
  const at = (startH: number, endH: number) => ({
    startMs: startH * HOUR_MS,
    endMs: endH * HOUR_MS,
  });
  const permitted = [at(0, 6), at(22, 24), at(24, 30)];
  expect(reclaimedWaterNotice({ cycles: [at(5, 6), at(23, 25)], permitted })).toBeNull();
  expect(
    reclaimedWaterNotice({ cycles: [at(5, 6), at(14, 15), at(10, 11)], permitted }),
  ).toMatchObject({
    severity: 'danger',
    inputs: { cyclesOutside: 2, cycles: 3 },
    fromMs: 10 * HOUR_MS,
    toMs: 15 * HOUR_MS,
  });
  expect(reclaimedWaterNotice({ cycles: [at(5.9, 6.1)], permitted })).toMatchObject({
    inputs: { cyclesOutside: 1 },
  });
  expect(() => reclaimedWaterNotice({ cycles: [at(2, 1)], permitted })).toThrow(
    /cycles: ends before it starts/,
  );
});

test('water is warned of both ways', () => {
  const code = (netMm: number, countedRainMm = 0, lossMm = 4) => {
    const notice = waterAgainstLossNotice({ ...span, netMm, countedRainMm, lossMm });
    return notice === null ? null : `${notice.code} ${notice.severity}`;
  };
  expect(code(3.3)).toBe('too_little_water warn');
  expect(code(3.4)).toBeNull();
  expect(code(3, 0.5)).toBeNull();
  expect(code(5.2)).toBeNull();
  expect(code(5.3)).toBe('too_much_water note');
  expect(code(8.1)).toBe('too_much_water warn');
  expect(code(0, 0, 0)).toBeNull();
  expect(code(1, 0, 0)).toBe('too_much_water warn');
});

test('never both, and inputs are always finite numbers', () => {
  const depth = fc.double({ min: 0, max: 30, noNaN: true });
  fc.assert(
    fc.property(depth, depth, depth, (netMm, countedRainMm, lossMm) => {
      const notice = waterAgainstLossNotice({ ...span, netMm, countedRainMm, lossMm });
      if (notice === null) return;
      for (const value of Object.values(notice.inputs)) expect(Number.isNaN(value)).toBe(false);
      expect(notice.code === 'too_little_water').toBe(netMm + countedRainMm < lossMm);
    }),
    { seed: 52, numRuns: 200 },
  );
});
