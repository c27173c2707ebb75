import fc from 'fast-check';
import { expect, test } from 'vitest';
import { infiltrationUnderRate } from '../../../calc/sand/infiltration.ts';
import { LEAST_REST_MIN, splitDose } from '../../../calc/sand/split-dose.ts';
import { surfaceStorageMm } from '../../../calc/sand/surface-storage.ts';

const capped = { conductivityMmPerH: 10, suctionMm: 49.5, deficitFraction: 0.1 };

test('surface storage by slope (US Soil Conservation Service, from memory): 0.5, 0.3, 0.1, 0 in', () => {
  expect([0, 1, 1.5, 3, 4, 5, 5.1, 20].map(surfaceStorageMm)).toEqual([
    12.7, 12.7, 7.6, 7.6, 2.5, 2.5, 0, 0,
  ]);
  expect(() => surfaceStorageMm(-1)).toThrow(RangeError);
});

test("a sand that takes the head's rate for ever needs no split", () => {
  const sand = { conductivityMmPerH: 117.8, suctionMm: 49.5, deficitFraction: 0.2 };
  expect(splitDose({ grossMm: 8, rateMmPerH: 18, sand, slopePct: 6 })).toEqual({
    parts: 1,
    partMm: 8,
    restMin: 0,
  });
});

test('a crusted bed on a slope is split with rests', () => {
  // Ponding after M K / (i - K) = 4.95 x 10 / 8 = 6.1875 mm.
  const split = splitDose({ grossMm: 8, rateMmPerH: 18, sand: capped, slopePct: 6 });
  expect(split).toEqual({ parts: 2, partMm: 4, restMin: 24 });
  expect(splitDose({ grossMm: 6.1875, rateMmPerH: 18, sand: capped, slopePct: 6 })?.parts).toBe(1);
});

test('a full sand under a faster rate on a slope cannot be helped by any split', () => {
  const sand = { ...capped, deficitFraction: 0 };
  expect(splitDose({ grossMm: 2, rateMmPerH: 18, sand, slopePct: 6 })).toBeNull();
  expect(splitDose({ grossMm: 2, rateMmPerH: 9, sand, slopePct: 6 })?.parts).toBe(1);
});

test('no part ever stands deeper than allowed, the parts sum up, and one part fewer would', () => {
  const doses = fc.record({
    grossMm: fc.double({ min: 0.2, max: 12, noNaN: true }),
    rateMmPerH: fc.double({ min: 5, max: 60, noNaN: true }),
    sand: fc.record({
      conductivityMmPerH: fc.double({ min: 1, max: 300, noNaN: true }),
      suctionMm: fc.double({ min: 20, max: 200, noNaN: true }),
      deficitFraction: fc.double({ min: 0.01, max: 0.4, noNaN: true }),
    }),
    slopePct: fc.double({ min: 0, max: 10, noNaN: true }),
    surfaceStorageMm: fc.double({ min: 0, max: 3, noNaN: true }),
  });
  fc.assert(
    fc.property(doses, (dose) => {
      const split = splitDose(dose);
      if (split === null) throw new Error('a sand with a deficit can always be split');
      const surplusOf = (partMm: number) =>
        infiltrationUnderRate({
          sand: dose.sand,
          rateMmPerH: dose.rateMmPerH,
          timeH: partMm / dose.rateMmPerH,
        }).surplusMm;
      expect(split.parts * split.partMm).toBeCloseTo(dose.grossMm, 9);
      expect(surplusOf(split.partMm)).toBeLessThanOrEqual(dose.surfaceStorageMm + 1e-6);
      if (split.parts > 1) {
        expect(split.restMin).toBeGreaterThanOrEqual(LEAST_REST_MIN);
        expect(surplusOf(dose.grossMm / (split.parts - 1))).toBeGreaterThan(
          dose.surfaceStorageMm - 1e-6,
        );
      } else expect(split.restMin).toBe(0);
    }),
    { seed: 24, numRuns: 300 },
  );
});
