import { type VanGenuchten, vanGenuchtenMualem } from './retention.ts';
import { alphaThrough, CAPILLARY_SUCTION_CM } from './retention-fit.ts';

/** A least and a greatest value. */
export type Between = readonly [least: number, most: number];

/** Within what a sand of one class may lie, each figure on its own. */
export interface SandRange {
  n: Between;
  residualFraction: Between;
  saturatedFraction: Between;
  saturatedMmPerH: Between;
  /** Either the inverse suction of air entry, 1/cm, or the water held at 30 cm, which gives it. */
  alphaPerCm: Between | { throughFraction: Between };
  source: string;
}

/** By how much alpha of a wetted curve is greater at most than that of the drained one. */
export const GREATEST_WETTING_COEFFICIENT = 1.75;

/**
 * The curve that a sand follows when it is wetted: alpha greater by a factor, all else as drained.
 *
 * @param coefficient 1 (drained) to 2
 * Source: Kool & Parker 1987, Water Resour. Res. 23:105-114, 1.5 to 2 (from memory).
 */
export function wettedCurve(
  drained: VanGenuchten,
  coefficient = GREATEST_WETTING_COEFFICIENT,
): VanGenuchten {
  return { ...drained, alphaPerCm: drained.alphaPerCm * coefficient };
}

/**
 * A sand of a range: every figure anywhere in it with the same chance, conductivity by its logarithm.
 *
 * @param unit gives numbers from 0 to below 1
 */
export function drawnSand(range: SandRange, unit: () => number): VanGenuchten {
  const from = ([least, most]: Between) => least + (most - least) * unit();
  const sand = {
    n: from(range.n),
    residualFraction: from(range.residualFraction),
    saturatedFraction: from(range.saturatedFraction),
    saturatedMmPerH: Math.exp(
      from([Math.log(range.saturatedMmPerH[0]), Math.log(range.saturatedMmPerH[1])]),
    ),
  };
  if ('throughFraction' in range.alphaPerCm) {
    const waterFraction = from(range.alphaPerCm.throughFraction);
    const point = { suctionCm: CAPILLARY_SUCTION_CM, waterFraction };
    return { ...sand, alphaPerCm: alphaThrough(sand, point) };
  }
  return { ...sand, alphaPerCm: from(range.alphaPerCm) };
}

/** The sand with another exponent, alpha moved so that it holds as much at 30 cm as before. */
export function withExponent(sand: VanGenuchten, n: number): VanGenuchten {
  const waterFraction = vanGenuchtenMualem(sand).waterFraction(-10 * CAPILLARY_SUCTION_CM);
  const point = { suctionCm: CAPILLARY_SUCTION_CM, waterFraction };
  return { ...sand, n, alphaPerCm: alphaThrough({ ...sand, n }, point) };
}
