import type { BedProfile } from '../../../../calc/sand/bed-column.ts';
import type { VanGenuchten } from '../../../../calc/sand/hydraulic-properties.ts';
import { drawnSand } from '../../../../calc/sand/retention-curves.ts';
import type { SandClass } from '../../../../calc/sand/sand-classes.ts';
import { seeded } from '../../../seeded.ts';
import { normals } from './normals.ts';

/** Alpha of the main wetting curve against that of the drained one: Kool & Parker 1987, from memory. */
const WETTING_ALPHA_FACTOR = [1, 2] as const;
/** Part of the saturated conductivity that films carry, drawn by its logarithm: assumed. */
const FILM_FRACTION = [1e-5, 1e-3] as const;
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

/**
 * A bed drawn from the range of a class, none of its figures the class's own. A laboratory reports the
 * drained curve alone: how the sand takes water up again, what films carry, and what the bed loses are
 * drawn apart from it.
 */
export function drawnTruth(standIn: SandClass, seed: number): Truth {
  const unit = seeded(seed);
  const between = ([lower, upper]: readonly [number, number]) => lower + (upper - lower) * unit();
  const reported = drawnSand(standIn.range, unit);
  const wettingAlphaFactor = between(WETTING_ALPHA_FACTOR);
  const [leastLog, mostLog] = FILM_FRACTION.map(Math.log) as [number, number];
  const filmFraction = Math.exp(between([leastLog, mostLog]));
  const openNightFraction = unit();
  const lossCoefficient = LOSS_COEFFICIENT * Math.exp(LOSS_COEFFICIENT_SD * normals(unit)());
  const sand = { ...reported, wettingAlphaFactor, filmFraction };
  return { bed: { ...standIn.bed, sand }, reported, lossCoefficient, openNightFraction };
}
