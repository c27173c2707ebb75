import { describe, expect, it } from 'vitest';
import { normalBelow } from '../../../calc/looks/look-evidence.ts';

describe('the normal distribution', () => {
  // Abramowitz & Stegun 1964, Table 26.1 (from memory), within their formula's own error.
  it.each([
    [0, 0.5],
    [0.5, 0.6914625],
    [1, 0.8413447],
    [1.96, 0.9750021],
    [3, 0.9986501],
    [-1, 0.1586553],
  ])('below %d lies %d', (x, below) => {
    expect(Math.abs(normalBelow(x) - below)).toBeLessThan(1.5e-7);
  });

  it('lies wholly between its two infinite ends', () => {
    expect(normalBelow(Number.NEGATIVE_INFINITY)).toBe(0);
    expect(normalBelow(Number.POSITIVE_INFINITY)).toBe(1);
  });
});
