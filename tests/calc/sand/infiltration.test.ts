import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  floodedInfiltrationMm,
  infiltrationCapacityMmPerH,
  infiltrationUnderRate,
  longestDoseMm,
  pondingUnderRate,
} from '../../../calc/sand/infiltration.ts';
import { floodings, merced, pondings, siltLoam } from '../../tables/infiltration-green-ampt.ts';

test('the tables are whole', () => {
  expect(pondings).toHaveLength(3);
  expect(floodings).toHaveLength(2);
});

test.each(pondings)('ponding: $source', (row) => {
  const ponding = pondingUnderRate(row.sand, row.rateMmPerH);
  if (ponding === null) throw new Error('the source ponds');
  expect(Math.abs(ponding.afterH - row.afterH)).toBeLessThanOrEqual(row.toleranceH);
  expect(Math.abs(ponding.infiltratedMm - row.infiltratedMm)).toBeLessThanOrEqual(row.toleranceMm);
  // Independent recomputation.
  expect(Math.abs(ponding.afterH - row.exactH)).toBeLessThanOrEqual(0.001);
});

test.each(floodings)('flooded for one hour: $source', (row) => {
  const infiltratedMm = floodedInfiltrationMm(row.sand, 1);
  expect(Math.abs(infiltratedMm - row.infiltratedMm)).toBeLessThanOrEqual(row.toleranceMm);
  if (row.capacityMmPerH !== null) {
    const capacity = infiltrationCapacityMmPerH(row.sand, infiltratedMm);
    expect(Math.abs(capacity - row.capacityMmPerH)).toBeLessThanOrEqual(row.toleranceMmPerH);
  }
});

test('after ponding: Chow, Maidment & Mays 1988, Ex. 4.4.2 (from memory)', () => {
  const state = infiltrationUnderRate({ sand: siltLoam, rateMmPerH: 50, timeH: 1 });
  expect(Math.abs(state.infiltratedMm - 30.2)).toBeLessThanOrEqual(0.05);
  // Printed 1.88 cm/h; 1.8736 recomputed, within one of the last digit.
  expect(Math.abs(state.infiltrationMmPerH - 18.8)).toBeLessThanOrEqual(0.1);
  // Independent recomputation.
  expect(state.infiltratedMm).toBeCloseTo(30.179, 2);
  expect(state.infiltrationMmPerH).toBeCloseTo(18.736, 2);
});

test('two hours of 5 mm/h on the Merced soil (independent recomputation)', () => {
  const state = infiltrationUnderRate({ sand: merced, rateMmPerH: 5, timeH: 2 });
  expect(state.infiltratedMm).toBeCloseTo(8.968, 2);
  expect(state.infiltrationMmPerH).toBeCloseTo(3.188, 2);
  expect(state.surplusMm).toBeCloseTo(1.032, 2);
});

test('a ponded depth is added to the suction (Oklahoma State open textbook, problem 6.5; its inputs, independent recomputation)', () => {
  const sand = { conductivityMmPerH: 6.5, suctionMm: 170 + 25, deficitFraction: 0.34 };
  // Front at 30 cm: 10.2 cm gone in, at 1.0725 cm/h after 6.190 h.
  expect(infiltrationCapacityMmPerH(sand, 102)).toBeCloseTo(10.725, 3);
  expect(floodedInfiltrationMm(sand, 6.19)).toBeCloseTo(102, 1);
});

const sands = fc.record({
  conductivityMmPerH: fc.double({ min: 0.2, max: 500, noNaN: true }),
  suctionMm: fc.double({ min: 0, max: 300, noNaN: true }),
  deficitFraction: fc.double({ min: 0, max: 0.5, noNaN: true }),
});
const thirstySands = fc.record({
  conductivityMmPerH: fc.double({ min: 0.2, max: 500, noNaN: true }),
  suctionMm: fc.double({ min: 5, max: 300, noNaN: true }),
  deficitFraction: fc.double({ min: 0.01, max: 0.5, noNaN: true }),
});
/** Rate against the conductivity, so that about half of the cases pond. */
const ratios = fc.double({ min: 0.3, max: 20, noNaN: true });
const fasterRatios = fc.double({ min: 1.05, max: 20, noNaN: true });
const times = fc.double({ min: 0.001, max: 24, noNaN: true });

test('what goes in is never below 0 nor above what was applied, and the two sum up', () => {
  fc.assert(
    fc.property(sands, ratios, times, (sand, ratio, timeH) => {
      const rateMmPerH = ratio * sand.conductivityMmPerH;
      const state = infiltrationUnderRate({ sand, rateMmPerH, timeH });
      expect(state.infiltratedMm).toBeGreaterThan(0);
      expect(state.surplusMm).toBeGreaterThanOrEqual(0);
      expect(state.infiltratedMm + state.surplusMm).toBeCloseTo(rateMmPerH * timeH, 8);
      expect(state.infiltrationMmPerH).toBeLessThanOrEqual(rateMmPerH);
      expect(state.infiltrationMmPerH).toBeGreaterThanOrEqual(
        Math.min(rateMmPerH, sand.conductivityMmPerH) * (1 - 1e-12),
      );
      const later = infiltrationUnderRate({ sand, rateMmPerH, timeH: timeH * 1.1 });
      expect(later.infiltratedMm).toBeGreaterThan(state.infiltratedMm);
      expect(later.infiltrationMmPerH).toBeLessThanOrEqual(state.infiltrationMmPerH * (1 + 1e-9));
    }),
    { seed: 21, numRuns: 300 },
  );
});

test("the depth satisfies Mein and Larson's equation", () => {
  const sincePonding = fc.double({ min: 1.01, max: 50, noNaN: true });
  fc.assert(
    fc.property(thirstySands, fasterRatios, sincePonding, (sand, ratio, later) => {
      const rateMmPerH = ratio * sand.conductivityMmPerH;
      const ponding = pondingUnderRate(sand, rateMmPerH);
      if (ponding === null) throw new Error('a rate above the conductivity ponds');
      const timeH = ponding.afterH * later;
      const M = sand.suctionMm * sand.deficitFraction;
      const F = infiltrationUnderRate({ sand, rateMmPerH, timeH }).infiltratedMm;
      const left = F - ponding.infiltratedMm - M * Math.log((M + F) / (M + ponding.infiltratedMm));
      const right = sand.conductivityMmPerH * (timeH - ponding.afterH);
      expect(Math.abs(left - right)).toBeLessThan(1e-9 * (F + M));
    }),
    { seed: 22, numRuns: 300 },
  );
});

test('the longest dose leaves exactly the surplus that was allowed', () => {
  const back = longestDoseMm({
    sand: siltLoam,
    rateMmPerH: 50,
    surplusMm: infiltrationUnderRate({ sand: siltLoam, rateMmPerH: 50, timeH: 1 }).surplusMm,
  });
  expect(back).toBeCloseTo(50, 8);
  const surplus = fc.double({ min: 0.01, max: 13, noNaN: true });
  fc.assert(
    fc.property(thirstySands, fasterRatios, surplus, (sand, ratio, surplusMm) => {
      const rateMmPerH = ratio * sand.conductivityMmPerH;
      const doseMm = longestDoseMm({ sand, rateMmPerH, surplusMm });
      const state = infiltrationUnderRate({ sand, rateMmPerH, timeH: doseMm / rateMmPerH });
      expect(Math.abs(state.surplusMm - surplusMm)).toBeLessThan(1e-8 * doseMm);
    }),
    { seed: 23, numRuns: 300 },
  );
});

test('no ponding at or below the conductivity; a full sand ponds at once above it', () => {
  const sand = { conductivityMmPerH: 20, suctionMm: 49.5, deficitFraction: 0.2 };
  expect(pondingUnderRate(sand, 20)).toBeNull();
  expect(pondingUnderRate({ ...sand, deficitFraction: 0 }, 21)).toEqual({
    afterH: 0,
    infiltratedMm: 0,
  });
  expect(longestDoseMm({ sand, rateMmPerH: 20, surplusMm: 0 })).toBe(Number.POSITIVE_INFINITY);
});

test('refuses what cannot be', () => {
  expect(() => floodedInfiltrationMm({ ...siltLoam, conductivityMmPerH: 0 }, 1)).toThrow(
    /floodedInfiltrationMm\.conductivityMmPerH: .*got 0/,
  );
  expect(() => infiltrationCapacityMmPerH(siltLoam, 0)).toThrow(RangeError);
  expect(() => infiltrationUnderRate({ sand: siltLoam, rateMmPerH: -1, timeH: 1 })).toThrow(
    RangeError,
  );
});
