import { requireInRange } from '../input-range.ts';

/**
 * Loss of wet bare soil against the reference. FAO-56 has 1.2 in Eq. 72 for wettings three to four
 * days apart, and about 1.1 where the surface is wetted daily (p. 144): the case of a seedbed.
 */
export const WET_SOIL_COEFFICIENT = 1.1;

const coefficient = (where: string, name: string, value: number): number =>
  requireInRange({ where, name, value, lower: 0, upper: 2 });

/** What the upper limit of evaporation and transpiration together depends on. */
export interface UpperLimitInput {
  /** Mean wind at 2 m; the equation was fitted from 1 to 6 m/s and is held there. */
  windMPerS: number;
  /** Lowest relative humidity of the day; fitted from 20 to 80 % and held there. */
  leastHumidityPct: number;
  /** Height of the plants, m; 0 for bare soil. */
  heightM: number;
  /** Kcb: transpiration of the plants alone against the reference. */
  basalCoefficient: number;
  /** Default 1.1: see `WET_SOIL_COEFFICIENT`. */
  wetSoilCoefficient?: number;
}

/**
 * Kc max: the most that a freshly wetted surface loses against the reference, no unit.
 *
 * Inputs: see above; height, 0 to 10 m; coefficients, 0 to 2. Throws RangeError outside.
 * Source: FAO-56, Eq. 72.
 * Example: 3 m/s, 20 %, 1 m, Kcb 0.9, with 1.2: 1.30 (FAO-56, Example 32).
 */
export function upperCoefficient(input: UpperLimitInput): number {
  const where = 'upperCoefficient';
  const wind = requireInRange({
    where,
    name: 'windMPerS',
    value: input.windMPerS,
    lower: 0,
    upper: 120,
  });
  const humidity = requireInRange({
    where,
    name: 'leastHumidityPct',
    value: input.leastHumidityPct,
    lower: 0,
    upper: 100,
  });
  const h = requireInRange({ where, name: 'heightM', value: input.heightM, lower: 0, upper: 10 });
  const Kcb = coefficient(where, 'basalCoefficient', input.basalCoefficient);
  const wet = coefficient(
    where,
    'wetSoilCoefficient',
    input.wetSoilCoefficient ?? WET_SOIL_COEFFICIENT,
  );
  const u2 = Math.min(6, Math.max(1, wind));
  const RHmin = Math.min(80, Math.max(20, humidity));
  return Math.max(wet + (0.04 * (u2 - 2) - 0.004 * (RHmin - 45)) * (h / 3) ** 0.3, Kcb + 0.05);
}

/** The surface layer and how dry it is. */
export interface SurfaceLayer {
  /** TEW. */
  evaporableMm: number;
  /** REW: what evaporates before the soil holds back, below TEW. */
  readilyMm: number;
  /** De: what is missing from the wet layer. */
  depletionMm: number;
}

/**
 * Kr: what the drying soil still lets through, 1 (wet surface) to 0 (dry).
 *
 * Inputs: mm from 0; REW below TEW. Throws RangeError outside.
 * Source: FAO-56, Eq. 74.
 * Example: TEW 20, REW 9, De 9.45: 0.96 (FAO-56, Example 31).
 */
export function dryingFraction(layer: SurfaceLayer): number {
  const where = 'dryingFraction';
  const TEW = requireInRange({
    where,
    name: 'evaporableMm',
    value: layer.evaporableMm,
    lower: 1e-6,
    upper: 200,
  });
  const REW = requireInRange({
    where,
    name: 'readilyMm',
    value: layer.readilyMm,
    lower: 0,
    upper: TEW,
  });
  const De = requireInRange({
    where,
    name: 'depletionMm',
    value: layer.depletionMm,
    lower: 0,
    upper: 1e4,
  });
  if (De <= REW) return 1;
  return De >= TEW ? 0 : (TEW - De) / (TEW - REW);
}

/**
 * fc: part of the ground that the plants cover, 0 to 0.99, from their basal coefficient. A cover
 * that a person has looked up counts more.
 *
 * Inputs: coefficients, 0 to 2, the least below the upper; height, 0 to 10 m. Throws RangeError
 * outside.
 * Source: FAO-56, Eq. 76, with its least difference of 0.01.
 * Example: Kcb 0.9, least 0.15, upper 1.30, 1 m: 0.53 (FAO-56, Example 32).
 */
export function coverFraction({
  basalCoefficient,
  leastCoefficient,
  upperCoefficient,
  heightM,
}: {
  basalCoefficient: number;
  leastCoefficient: number;
  upperCoefficient: number;
  heightM: number;
}): number {
  const where = 'coverFraction';
  const Kcb = coefficient(where, 'basalCoefficient', basalCoefficient);
  const least = coefficient(where, 'leastCoefficient', leastCoefficient);
  const most = coefficient(where, 'upperCoefficient', upperCoefficient);
  const h = requireInRange({ where, name: 'heightM', value: heightM, lower: 0, upper: 10 });
  if (most <= least) {
    throw new RangeError(
      `${where}: upper coefficient not above the least (got ${most} and ${least}); give Kc max and Kc min`,
    );
  }
  const ratio = Math.max(0.01, Kcb - least) / Math.max(0.01, most - least);
  return Math.min(0.99, Math.min(1, ratio) ** (1 + 0.5 * h));
}

/**
 * few: part of the ground both bare to the sun and wetted, 0 to 1, from which most evaporates.
 *
 * Inputs: parts of the ground, 0 to 1. Throws RangeError outside.
 * Source: FAO-56, Eq. 75; sprinklers wet all (fw = 1, Table 20).
 * Example: cover 0.53, all wetted: 0.47 (FAO-56, Example 32).
 */
export function exposedWettedFraction({
  coverFraction,
  wettedFraction = 1,
}: {
  coverFraction: number;
  wettedFraction?: number;
}): number {
  const where = 'exposedWettedFraction';
  const fc = requireInRange({
    where,
    name: 'coverFraction',
    value: coverFraction,
    lower: 0,
    upper: 1,
  });
  const fw = requireInRange({
    where,
    name: 'wettedFraction',
    value: wettedFraction,
    lower: 0,
    upper: 1,
  });
  return Math.min(1 - fc, fw);
}

/** What evaporation from the soil depends on. */
export interface SoilEvaporationInput {
  basalCoefficient: number;
  upperCoefficient: number;
  /** From `exposedWettedFraction`. */
  exposedWettedFraction: number;
  /** From `dryingFraction`; 1 while the surface is kept wet. */
  dryingFraction: number;
}

/**
 * Ke: evaporation from the soil against the reference, from 0. The whole loss is Kcb + Ke.
 *
 * Inputs: coefficients, 0 to 2; fractions, 0 to 1. Throws RangeError outside.
 * Source: FAO-56, Eq. 71.
 * Example: Kcb 0.9, Kc max 1.30, few 0.47, wet: 0.40 (FAO-56, Example 32).
 */
export function soilEvaporationCoefficient(input: SoilEvaporationInput): number {
  const where = 'soilEvaporationCoefficient';
  const Kcb = coefficient(where, 'basalCoefficient', input.basalCoefficient);
  const most = coefficient(where, 'upperCoefficient', input.upperCoefficient);
  const few = requireInRange({
    where,
    name: 'exposedWettedFraction',
    value: input.exposedWettedFraction,
    lower: 0,
    upper: 1,
  });
  const Kr = requireInRange({
    where,
    name: 'dryingFraction',
    value: input.dryingFraction,
    lower: 0,
    upper: 1,
  });
  return Math.max(0, Math.min(Kr * (most - Kcb), few * most));
}
