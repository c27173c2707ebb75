import { requireNumbers } from './require-number.ts';

/**
 * Factor by which a run is lengthened so that the drier half of the area gets its depth, at least 1.
 *
 * On request only: a longer run puts the surplus on the wetter half, which on a seedbed means
 * puddles and leaching, so hand watering of the dry quarter is the default. Dividing by the low
 * quarter itself would ask for far more.
 *
 * @param duLowQuarterPct distribution uniformity of the low quarter, above 0 and at most 100 %.
 * @throws RangeError when the uniformity is outside its range.
 * Source: Irrigation Association scheduling form, 1 / (0.4 + 0.6 DU) (from memory).
 * @example
 * runTimeMultiplierFraction(70); // 1.22
 */
export function runTimeMultiplierFraction(duLowQuarterPct: number): number {
  requireNumbers('runTimeMultiplierFraction', {
    duLowQuarterPct: [duLowQuarterPct, { above: 0, atMost: 100 }],
  });
  return 1 / (0.4 + 0.6 * (duLowQuarterPct / 100));
}
