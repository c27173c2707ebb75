import { admitted } from '../sky/admitted.ts';
import {
  dryingFraction,
  type SurfaceLayer,
  soilEvaporationCoefficient,
} from './crop-coefficient.ts';

/** A day of the surface layer: water early in the day, then evaporation. */
export interface SurfaceLayerDayInput {
  /** The layer at the end of the day before. */
  layer: SurfaceLayer;
  referenceEtMm: number;
  basalCoefficient: number;
  upperCoefficient: number;
  /** few. */
  exposedWettedFraction: number;
  rainMm: number;
  /** Over the whole area. */
  irrigationMm: number;
  /** fw: part of the ground that the irrigation wets. */
  wettedFraction: number;
}

/** What became of the layer on a day. */
export interface SurfaceLayerDay {
  startDepletionMm: number;
  endDepletionMm: number;
  dryingFraction: number;
  soilEvaporationCoefficient: number;
  /** Over the whole area. */
  evaporationMm: number;
  /** Evaporation and transpiration over the whole area. */
  cropEtMm: number;
  /** What went through the layer, mm over the wetted part. */
  percolationMm: number;
}

/**
 * One day of the surface layer's water balance, without runoff and without roots in the layer.
 *
 * Water is taken to come before the day's evaporation, so the drying is that of the day's beginning
 * after it. What evaporates never exceeds what the layer holds.
 * Inputs: mm from 0; coefficients, 0 to 2; fractions, 0 to 1. Throws RangeError outside.
 * Source: FAO-56, Eq. 71, 74 and 77 to 79.
 * Example: bare loam, TEW 20, REW 9, De 9.45, ETo 4.5, Kc max 1.2, Kcb 0.15: 4.53 mm (FAO-56,
 * Example 31, day 3).
 */
export function surfaceLayerDay(input: SurfaceLayerDayInput): SurfaceLayerDay {
  const where = 'surfaceLayerDay';
  const depth = (name: string, value: number): number =>
    admitted({ where, name, value, least: 0, most: 2000 });
  const { layer } = input;
  const ETo = depth('referenceEtMm', input.referenceEtMm);
  const fw = admitted({
    where,
    name: 'wettedFraction',
    value: input.wettedFraction,
    least: 0.01,
    most: 1,
  });
  const waterMm = depth('rainMm', input.rainMm) + depth('irrigationMm', input.irrigationMm) / fw;
  const startDepletionMm = Math.max(0, layer.depletionMm - waterMm);
  const percolationMm = Math.max(0, waterMm - layer.depletionMm);

  const Kr = dryingFraction({ ...layer, depletionMm: startDepletionMm });
  const few = input.exposedWettedFraction;
  const Ke = soilEvaporationCoefficient({ ...input, dryingFraction: Kr });
  const heldMm = Math.max(0, layer.evaporableMm - startDepletionMm);
  const evaporationMm = Math.min(Ke * ETo, heldMm * few);
  return {
    startDepletionMm,
    endDepletionMm: startDepletionMm + (few > 0 ? evaporationMm / few : 0),
    dryingFraction: Kr,
    soilEvaporationCoefficient: Ke,
    evaporationMm,
    cropEtMm: input.basalCoefficient * ETo + evaporationMm,
    percolationMm,
  };
}
