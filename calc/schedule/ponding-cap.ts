import { longestDoseMm, SAND_FRONT_SUCTION_MM } from '../sand/infiltration.ts';
import { surfaceStorageMm } from '../sand/surface-storage.ts';
import type { Bed, Station } from './site.ts';

/** The wetted zone conducts about half of what saturated sand does (Rawls and others 1983). */
const WETTED_FRACTION = 0.5;
/** Water content that a moist seedbed still takes up ahead of the front: assumed, on the low side. */
const MOIST_DEFICIT_FRACTION = 0.1;

/**
 * The most gross water that one cycle may bring before a bed's surface ponds, mm; Infinity where the
 * heads never outrun the sand. A longer dose becomes several cycles with the bed's rest between.
 *
 * Bare, nothing may stand on the surface: a film floats fine seed. With cover the hollows of the
 * slope may fill. The suction is that of sand in general, the deficit that of a bed kept moist.
 *
 * @throws RangeError when a figure is outside its range.
 */
export function pondingCapMm(
  bed: Pick<Bed, 'sand' | 'slopePct'>,
  stations: readonly Station[],
  bare: boolean,
): number {
  const rateMmPerH = Math.max(0, ...stations.map((one) => one.precipitationRateMmPerH));
  if (rateMmPerH === 0) return Number.POSITIVE_INFINITY;
  return longestDoseMm({
    sand: {
      conductivityMmPerH: WETTED_FRACTION * bed.sand.saturatedMmPerH,
      suctionMm: SAND_FRONT_SUCTION_MM,
      deficitFraction: MOIST_DEFICIT_FRACTION,
    },
    rateMmPerH,
    surplusMm: bare ? 0 : surfaceStorageMm(bed.slopePct),
  });
}
