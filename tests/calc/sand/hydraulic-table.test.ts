import { describe, expect, test } from 'vitest';
import { fromPointFunctions, tabulated } from '../../../calc/sand/hydraulic-properties.ts';

/** An invented sand whose water and conductivity fall by straight lines in the log of suction. */
const soil = fromPointFunctions({
  saturatedFraction: 0.4,
  residualFraction: 0.05,
  saturatedMmPerH: 100,
  waterFraction: (headMm) => (headMm >= 0 ? 0.4 : 0.3 - 0.01 * Math.log(-headMm)),
  capacityPerMm: (headMm) => (headMm >= 0 ? 0 : -0.01 / headMm),
  conductivityMmPerH: (headMm) => (headMm >= 0 ? 100 : 50 - 2 * Math.log(-headMm)),
});
const table = tabulated(soil);

describe('a sand read from a table', () => {
  test('has the limits of the sand', () => {
    expect(table).toMatchObject({
      saturatedFraction: 0.4,
      residualFraction: 0.05,
      saturatedMmPerH: 100,
    });
  });

  test.each([0.11, 1, 7.7, 100, 12_345, 9.9e6])(
    'is the sand itself where that is straight in the log of suction: %d mm',
    (suctionMm) => {
      expect(table.waterFraction(-suctionMm)).toBeCloseTo(soil.waterFraction(-suctionMm), 9);
      expect(table.conductivityMmPerH(-suctionMm)).toBeCloseTo(
        soil.conductivityMmPerH(-suctionMm),
        7,
      );
      expect(table.capacityPerMm(-suctionMm) * suctionMm).toBeCloseTo(0.01, 9);
    },
  );

  test('is a straight line in the head up to the first point, and saturated from there on', () => {
    const first = 0.3 - 0.01 * Math.log(0.1);
    expect(table.waterFraction(-0.1)).toBeCloseTo(first, 9);
    expect(table.waterFraction(-0.05)).toBeCloseTo((0.4 + first) / 2, 9);
    expect(table.capacityPerMm(-0.05)).toBeCloseTo((0.4 - first) / 0.1, 9);
    expect(table.conductivityMmPerH(-0.05)).toBeCloseTo((100 + 50 - 2 * Math.log(0.1)) / 2, 9);
    for (const headMm of [0, 5]) {
      expect(table.waterFraction(headMm)).toBe(0.4);
      expect(table.capacityPerMm(headMm)).toBe(0);
      expect(table.conductivityMmPerH(headMm)).toBe(100);
    }
  });

  test('stays at its last point beyond the greatest suction', () => {
    const last = 0.3 - 0.01 * Math.log(1e7);
    expect(table.waterFraction(-1e7)).toBeCloseTo(last, 8);
    expect(table.waterFraction(-5e7)).toBeCloseTo(last, 8);
    expect(table.conductivityMmPerH(-5e7)).toBeCloseTo(50 - 2 * Math.log(1e7), 6);
  });

  test('fills the nodes that are asked for and no other', () => {
    const nodes = {
      headMm: Float64Array.of(-10, -100, -1000),
      waterFraction: new Float64Array(3),
      capacityPerMm: new Float64Array(3),
      conductivityMmPerH: new Float64Array(3),
    };
    table.fill(nodes, 1, 2);
    expect(nodes.waterFraction[0]).toBe(0);
    expect(nodes.waterFraction[1]).toBeCloseTo(soil.waterFraction(-100), 9);
    expect(nodes.waterFraction[2]).toBe(0);
  });
});
