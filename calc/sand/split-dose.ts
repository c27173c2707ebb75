import { requireNumbers } from '../sprinkler/require-number.ts';
import { longestDoseMm, type WettingFront } from './infiltration.ts';
import { surfaceStorageMm } from './surface-storage.ts';

/** A dose and the ground that it falls on. */
export interface DoseOnGround {
  /** Depth of the whole dose as it leaves the nozzles: the loss in flight is a margin here. */
  grossMm: number;
  rateMmPerH: number;
  sand: WettingFront;
  slopePct: number;
  /** Free water that may stand; by the slope when left out, 0 for a bare seedbed. */
  surfaceStorageMm?: number;
}

/** Equal parts of a dose with a rest between them. */
export interface SplitDose {
  parts: number;
  partMm: number;
  /** Rest between the end of one part and the start of the next; 0 when there is one part. */
  restMin: number;
}

/** Shortest rest worth the name between parts (common practice: 20 to 60 minutes). */
export const LEAST_REST_MIN = 20;

/**
 * The fewest equal parts of a dose that never stand deeper than the ground may hold, and the rest
 * between them; null when no split helps, because a full sand under a faster rate ponds at once.
 *
 * The rest is as long as gravity at the sand's conductivity takes to carry one part down, and at
 * least {@link LEAST_REST_MIN}; each part is then taken to find the sand as the first one did, which
 * holds for sands that drain fast and not for loams.
 *
 * @param dose depth above 0 mm, rate above 0 mm/h, slope 0 to 100 %, storage at least 0 mm; the sand
 *   as for `floodedInfiltrationMm`.
 * @throws RangeError when an input is outside its range.
 * Source: Mein & Larson 1973 for ponding; the rest follows from a unit gradient.
 * @example
 * // Sand of Rawls (117.8 mm/h) takes a head's 18 mm/h for ever: one part.
 * splitDose({ grossMm: 6, rateMmPerH: 18, slopePct: 2,
 *   sand: { conductivityMmPerH: 117.8, suctionMm: 49.5, deficitFraction: 0.2 } }); // parts: 1
 */
export function splitDose(dose: DoseOnGround): SplitDose | null {
  const storageMm = dose.surfaceStorageMm ?? surfaceStorageMm(dose.slopePct);
  requireNumbers('splitDose', {
    grossMm: [dose.grossMm, { above: 0 }],
    slopePct: [dose.slopePct, { atLeast: 0, atMost: 100 }],
    surfaceStorageMm: [storageMm, { atLeast: 0 }],
  });
  const mostMm = longestDoseMm({
    sand: dose.sand,
    rateMmPerH: dose.rateMmPerH,
    surplusMm: storageMm,
  });
  if (mostMm === 0) return null;
  // A dose of exactly the most must not be split in two by rounding of the machine.
  const parts = Math.max(1, Math.ceil((dose.grossMm / mostMm) * (1 - 1e-9)));
  const partMm = dose.grossMm / parts;
  const drainMin = (60 * partMm) / dose.sand.conductivityMmPerH;
  return {
    parts,
    partMm,
    restMin: parts === 1 ? 0 : Math.max(LEAST_REST_MIN, Math.ceil(drainMin)),
  };
}
