import { levenbergMarquardt } from 'ml-levenberg-marquardt';
import { entryOf } from '../checked-entry.ts';
import { type VanGenuchten, vanGenuchtenMualem } from './hydraulic-properties.ts';

/** A point of a release curve: what the sand still holds at this suction. */
interface ReleasePoint {
  suctionCm: number;
  waterFraction: number;
}

/** What a laboratory reports of a greens mix. */
export interface SandReport {
  totalPorosityFraction: number;
  /** Water held at 30 cm of suction. */
  capillaryPorosityFraction: number;
  saturatedMmPerH: number;
  /** The release curve, when given; the point at 30 cm may be left out of it. */
  releasePoints?: readonly ReleasePoint[];
}

type FittedParameter = 'alphaPerCm' | 'n' | 'residualFraction';

export interface RetentionFit {
  sand: VanGenuchten;
  /** Found from this report; the others are the defaults that were given. */
  fitted: FittedParameter[];
  /** Root mean square distance of the report's points from the curve. */
  missFraction: number;
}

const CAPILLARY_SUCTION_CM = 30;

/**
 * The van Genuchten alpha that puts a curve through one point (psi, theta):
 *
 *     Se = (theta - theta_r) / (theta_s - theta_r),   alpha = (Se^(-1/m) - 1)^(1/n) / psi
 *
 * @param sand residual, saturated and n of the curve
 * @param point suction above 0, water content between residual and saturated
 * @throws RangeError when the water content is not between them
 * @example alphaThrough of 0.102/0.368, n 2 through (1000 cm, 0.10994) = 0.0335 1/cm
 */
export function alphaThrough(
  sand: Pick<VanGenuchten, 'residualFraction' | 'saturatedFraction' | 'n'>,
  point: ReleasePoint,
): number {
  const { residualFraction, saturatedFraction, n } = sand;
  const Se = (point.waterFraction - residualFraction) / (saturatedFraction - residualFraction);
  if (!(Se > 0 && Se < 1 && point.suctionCm > 0)) {
    throw new RangeError(
      `alphaThrough: the water content must lie between residual ${residualFraction} and saturated ${saturatedFraction} (got ${point.waterFraction} at ${point.suctionCm} cm); check the report`,
    );
  }
  const m = 1 - 1 / n;
  return (Se ** (-1 / m) - 1) ** (1 / n) / point.suctionCm;
}

function checkReport(report: SandReport, points: readonly ReleasePoint[]): void {
  const { totalPorosityFraction: total, capillaryPorosityFraction: capillary } = report;
  if (!(capillary > 0 && total > capillary && total < 0.7 && report.saturatedMmPerH > 0)) {
    throw new RangeError(
      `fitRetention: capillary porosity must lie below total porosity, both as fractions, and conductivity above 0 (got ${capillary}, ${total}, ${report.saturatedMmPerH}); divide percentages by 100`,
    );
  }
  for (const { suctionCm, waterFraction } of points) {
    if (!(suctionCm > 0 && waterFraction > 0 && waterFraction <= total)) {
      throw new RangeError(
        `fitRetention: release points need a suction above 0 and a water content up to total porosity (got ${waterFraction} at ${suctionCm} cm); check the units`,
      );
    }
  }
}

function missOf(sand: VanGenuchten, points: readonly ReleasePoint[]): number {
  const soil = vanGenuchtenMualem(sand);
  const sum = points.reduce(
    (total, { suctionCm, waterFraction }) =>
      total + (soil.waterFraction(-10 * suctionCm) - waterFraction) ** 2,
    0,
  );
  return Math.sqrt(sum / points.length);
}

/**
 * Van Genuchten parameters of a laboratory report.
 *
 * The saturated water content is the total porosity. With four points or more (the one at 30 cm
 * counts) alpha, n and residual are fitted by least squares; with three alpha and n; with fewer the
 * curve goes through the point at 30 cm with the class's n and residual, and the capacity found from
 * it is only as sure as that n: see `capacityOverN`. A laboratory curve is a draining one; how much
 * less the sand holds when it is wetted is not told by it.
 *
 * @param report porosities as fractions, suctions in cm, conductivity mm/h
 * @param defaults the nearest class's sand, for what the report cannot say
 * @throws RangeError on a report that contradicts itself
 * Source of the curve: van Genuchten 1980, Soil Sci. Soc. Am. J. 44:892-898.
 */
export function fitRetention(report: SandReport, defaults: VanGenuchten): RetentionFit {
  const given = report.releasePoints ?? [];
  checkReport(report, given);
  const capillary = {
    suctionCm: CAPILLARY_SUCTION_CM,
    waterFraction: report.capillaryPorosityFraction,
  };
  const named = given.some(({ suctionCm }) => Math.abs(suctionCm - CAPILLARY_SUCTION_CM) < 0.5);
  const points = named ? [...given] : [...given, capillary];
  const base = {
    ...defaults,
    saturatedFraction: report.totalPorosityFraction,
    saturatedMmPerH: report.saturatedMmPerH,
  };
  if (points.length < 3) {
    const sand = { ...base, alphaPerCm: alphaThrough(base, capillary) };
    return { sand, fitted: ['alphaPerCm'], missFraction: missOf(sand, points) };
  }
  const free = points.length > 3;
  const fitted: FittedParameter[] = free
    ? ['alphaPerCm', 'n', 'residualFraction']
    : ['alphaPerCm', 'n'];
  const driest = Math.min(...points.map(({ waterFraction }) => waterFraction));
  // Parameters: ln alpha, ln(n - 1) and, where it is free, theta_r; the logarithms keep alpha > 0, n > 1.
  const sandOf = (values: readonly number[]): VanGenuchten => ({
    ...base,
    alphaPerCm: Math.exp(entryOf(values, 0)),
    n: 1 + Math.exp(entryOf(values, 1)),
    residualFraction: free ? entryOf(values, 2) : base.residualFraction,
  });
  const fits: RetentionFit[] = [];
  // From several shapes: a steep curve and a gentle one can both be near-solutions.
  for (const n of [1.6, 2.5, 4, 7]) {
    const residual = Math.min(base.residualFraction, 0.9 * driest);
    const from = { ...base, n, residualFraction: residual };
    const logAlpha = Math.log(alphaThrough(from, capillary));
    const found = levenbergMarquardt(
      {
        x: points.map(({ suctionCm }) => suctionCm),
        y: points.map(({ waterFraction }) => waterFraction),
      },
      (values) => {
        const soil = vanGenuchtenMualem(sandOf(values));
        return (suctionCm) => soil.waterFraction(-10 * suctionCm);
      },
      {
        initialValues: free ? [logAlpha, Math.log(n - 1), residual] : [logAlpha, Math.log(n - 1)],
        minValues: free ? [-7, -2, 0.001] : [-7, -2],
        maxValues: free ? [0, 2.7, driest - 1e-6] : [0, 2.7],
        gradientDifference: free ? [1e-4, 1e-4, 1e-6] : [1e-4, 1e-4],
        centralDifference: true,
        maxIterations: 300,
        errorTolerance: 1e-14,
        improvementThreshold: 1e-9,
      },
    );
    const sand = sandOf(found.parameterValues);
    fits.push({ sand, fitted, missFraction: missOf(sand, points) });
  }
  return fits.reduce((best, fit) => (fit.missFraction < best.missFraction ? fit : best));
}

/** From a lower to an upper bound. */
export type Interval = readonly [lower: number, upper: number];

/** Within what a sand of one class may lie, each figure on its own. */
export interface SandRange {
  n: Interval;
  residualFraction: Interval;
  saturatedFraction: Interval;
  saturatedMmPerH: Interval;
  /** Either the inverse suction of air entry, 1/cm, or the water held at 30 cm, which gives it. */
  alphaPerCm: Interval | { throughFraction: Interval };
  source: RangeSource;
}

/**
 * What a range rests on. `one_deviation`: one standard deviation around a texture class's mean (Carsel
 * & Parrish 1988, from memory); `near_default`: assumed around the default, inside the recommended
 * ranges for greens mixes.
 */
export type RangeSource = 'one_deviation' | 'near_default';

/**
 * A sand of a range: every figure anywhere in it with the same chance, conductivity by its logarithm.
 *
 * @param unit gives numbers from 0 to below 1
 */
export function drawnSand(range: SandRange, unit: () => number): VanGenuchten {
  const from = ([lower, upper]: Interval) => lower + (upper - lower) * unit();
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

/** The least and the most of its pores that a sand with another exponent may be told to hold at 30 cm. */
const HELD_FRACTION: Interval = [0.03, 0.97];

/**
 * The sand with another exponent, alpha moved so that it holds as much at 30 cm as before, or so much
 * more or less.
 */
export function withExponent(sand: VanGenuchten, n: number, moreFraction = 0): VanGenuchten {
  const { residualFraction, saturatedFraction } = sand;
  const held = vanGenuchtenMualem(sand).waterFraction(-10 * CAPILLARY_SUCTION_CM);
  const at = (part: number) => residualFraction + part * (saturatedFraction - residualFraction);
  const [least, most] = [at(HELD_FRACTION[0]), at(HELD_FRACTION[1])];
  const waterFraction =
    moreFraction === 0 ? held : Math.min(most, Math.max(least, held + moreFraction));
  const point = { suctionCm: CAPILLARY_SUCTION_CM, waterFraction };
  return { ...sand, n, alphaPerCm: alphaThrough({ ...sand, n }, point) };
}
