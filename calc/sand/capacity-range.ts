import type { BedProfile } from './bed-column.ts';
import { dryDownTable } from './dry-down.ts';
import { withExponent } from './sand-range.ts';

/** A bed's capacity if its sand's curve were this steep. */
export interface CapacityAtN {
  n: number;
  alphaPerCm: number;
  /** Null when the bed is not dry within 120 h. */
  capacityMm: number | null;
}

/**
 * How far the capacity hangs on the exponent n that a report without a release curve leaves open:
 * the same bed with other exponents, alpha moved so that the water at 30 cm stays as reported.
 *
 * @param bed the bed with its sand
 * @param range the exponents to try, above 1, and the demand, mm/h
 */
export function capacityOverN(
  bed: BedProfile,
  { ns, demandMmPerH }: { ns: readonly number[]; demandMmPerH: number },
): CapacityAtN[] {
  return ns.map((n) => {
    const sand = withExponent(bed.sand, n);
    const [row] = dryDownTable({ ...bed, sand }, { ratesMmPerH: [demandMmPerH] });
    return { n, alphaPerCm: sand.alphaPerCm, capacityMm: row?.capacityMm ?? null };
  });
}
