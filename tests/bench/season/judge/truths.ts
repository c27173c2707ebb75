import type { BedProfile } from '../../../../calc/sand/bed-column.ts';
import type { VanGenuchten } from '../../../../calc/sand/hydraulic-properties.ts';
import { drawnSand, wettedCurve } from '../../../../calc/sand/retention-curves.ts';
import type { SandClass } from '../../../../calc/sand/sand-classes.ts';
import { seeded } from '../../../seeded.ts';
import { normals } from './normals.ts';

/** Evaporation of wet bare sand against the reference, and the sd of its logarithm: assumed. */
const LOSS_COEFFICIENT = 1.1;
const LOSS_COEFFICIENT_SD = 0.1;

/** A bed as it really is, and the curve that a laboratory would report of its sand. */
export interface Truth {
  bed: BedProfile;
  reported: VanGenuchten;
  /** Evaporation of the wet bed against the reference. */
  lossCoefficient: number;
  /** Where the loss at night lies from stomata closed (0) to as open as by day (1). */
  openNightFraction: number;
}

/** A bed drawn from the range of a class, none of its figures the class's own. */
export function drawnTruth(standIn: SandClass, seed: number): Truth {
  const unit = seeded(seed);
  const reported = drawnSand(standIn.range, unit);
  const [lower, upper] = standIn.wettingCoefficient;
  const sand = wettedCurve(reported, lower + (upper - lower) * unit());
  const openNightFraction = unit();
  const lossCoefficient = LOSS_COEFFICIENT * Math.exp(LOSS_COEFFICIENT_SD * normals(unit)());
  return { bed: { ...standIn.bed, sand }, reported, lossCoefficient, openNightFraction };
}
