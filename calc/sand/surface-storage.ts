import { requireNumbers } from '../sprinkler/require-number.ts';

/**
 * Depth of free water that a surface keeps in its hollows before any runs, mm.
 *
 * A figure for soil in the field: a smooth green keeps less, and under a free film fine seed floats.
 * On a bare seedbed the careful answer is 0, whatever the slope.
 *
 * @param slopePct slope, 0 to 100 %.
 * @throws RangeError when the slope is outside its range.
 * Source: US Soil Conservation Service; Dillon et al. 1972 (from memory): 0.5, 0.3, 0.1 and 0 in on
 * slopes of 0-1, 1-3, 3-5 and above 5 %.
 * @example
 * surfaceStorageMm(2); // 7.6
 */
export function surfaceStorageMm(slopePct: number): number {
  requireNumbers('surfaceStorageMm', { slopePct: [slopePct, { atLeast: 0, atMost: 100 }] });
  if (slopePct <= 1) return 12.7;
  if (slopePct <= 3) return 7.6;
  if (slopePct <= 5) return 2.5;
  return 0;
}
