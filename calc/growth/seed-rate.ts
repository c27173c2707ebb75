import { requireNumbers } from '../input-range.ts';

/** What to sow on one bed. Masses are weights of pure live seed as bought. */
export interface SeedOrder {
  /** Seed for the whole bed, kg. */
  seedKg: number;
  /** Seed of each pass, kg: passes at right angles even out each other's misses. */
  seedPerPassKg: number;
  passes: number;
  /** Least and most seeds on one cm². */
  seedsPerCm2: readonly [number, number];
  /** Least and most seeds on one square inch. */
  seedsPerIn2: readonly [number, number];
}

const KG_PER_LB = 0.45359237;
const M2_PER_1000_SQ_FT = 92.90304;
const CM2_PER_M2 = 1e4;
const CM2_PER_IN2 = 6.4516;

/** Creeping bentgrass: 1.5 lb on 1000 square feet, 7.3 g/m² (common practice, no source). */
export const BENTGRASS_SEED_RATE_KG_PER_M2 = (1.5 * KG_PER_LB) / M2_PER_1000_SQ_FT;
/** Creeping bentgrass: 6 to 9 million seeds a pound (common practice, no source). */
export const BENTGRASS_SEEDS_PER_KG: readonly [number, number] = [6e6 / KG_PER_LB, 9e6 / KG_PER_LB];

/**
 * Seed for a bed: mass of the whole and of each pass, and seeds on one cm² and one square inch.
 *
 * The default is two passes of half the rate at right angles. How many of the seeds come up depends
 * on the lot and the bed.
 *
 * @param asked area above 0 m², rate above 0 kg/m², least and most seeds per kg above 0, passes a
 *   whole number of at least 1.
 * @throws RangeError when an input is outside its range.
 * Source: arithmetic; default figures are common practice.
 * @example
 * // A bed of 500 m² at 1.5 lb on 1000 square feet: 3.66 kg, two passes of 1.83 kg, 62 to 94 seeds
 * // on a square inch
 */
export function seedOrder(asked: {
  areaM2: number;
  rateKgPerM2?: number;
  seedsPerKg?: readonly [number, number];
  passes?: number;
}): SeedOrder {
  const {
    areaM2,
    rateKgPerM2 = BENTGRASS_SEED_RATE_KG_PER_M2,
    seedsPerKg: [leastPerKg, mostPerKg] = BENTGRASS_SEEDS_PER_KG,
    passes = 2,
  } = asked;
  requireNumbers('seedOrder', {
    areaM2: [areaM2, { above: 0 }],
    rateKgPerM2: [rateKgPerM2, { above: 0 }],
    'seedsPerKg[0]': [leastPerKg, { above: 0 }],
    'seedsPerKg[1]': [mostPerKg, { atLeast: leastPerKg }],
    passes: [passes, { atLeast: 1 }],
  });
  if (!Number.isInteger(passes)) {
    throw new RangeError(`seedOrder.passes: not whole (got ${passes}); give a whole number`);
  }
  const seedKg = areaM2 * rateKgPerM2;
  const least = (rateKgPerM2 * leastPerKg) / CM2_PER_M2;
  const most = (rateKgPerM2 * mostPerKg) / CM2_PER_M2;
  return {
    seedKg,
    seedPerPassKg: seedKg / passes,
    passes,
    seedsPerCm2: [least, most],
    seedsPerIn2: [least * CM2_PER_IN2, most * CM2_PER_IN2],
  };
}
