import { at as checkedAt } from '../checked-entry.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/**
 * How a sand holds and carries water at a given pressure head. Heads are negative above a water
 * table: -300 mm is the suction that 30 cm of hanging water gives.
 */
export interface SoilHydraulics {
  /** Water content with every pore full, and the one that suction alone cannot take. */
  saturatedFraction: number;
  residualFraction: number;
  saturatedMmPerH: number;
  /** Volume of water in a volume of sand at this head. */
  waterFraction(headMm: number): number;
  /** Rise of the water content for each mm of head, 1/mm; 0 when saturated. */
  capacityPerMm(headMm: number): number;
  conductivityMmPerH(headMm: number): number;
  /** The three functions for nodes `from` up to `to` (not included), written into the arrays. */
  fill(nodes: HydraulicArrays, from: number, to: number): void;
  /** Part of the conductivity that films carry; left out: nothing. */
  filmMmPerH?: ((headMm: number) => number) | undefined;
  /** Above 1: the three functions are those of the main drying curve, and the sand is hysteretic. */
  wettingAlphaFactor?: number | undefined;
  /** What a hysteretic column reads its paths from; only a `tabulated` sand has it. */
  dryingTable?: DryingTable | undefined;
}

/** Heads in, three properties out, one entry a node. Kept in arrays so that nothing is allocated. */
export interface HydraulicArrays {
  headMm: Float64Array;
  waterFraction: Float64Array;
  capacityPerMm: Float64Array;
  conductivityMmPerH: Float64Array;
}

/**
 * A sand's main drying curve at equal steps in the logarithm of suction. Its main wetting curve is
 * the same one at a suction greater by a factor, S_w(h) = S_d(factor h).
 */
export interface DryingTable {
  /** Logarithm of the least suction, mm; wetter than that the curve is a straight line in the head. */
  startLog: number;
  stepLog: number;
  leastSuctionMm: number;
  waterFraction: Float64Array;
  /** What the pores carry at that water content, whichever way it came about. */
  poresMmPerH: Float64Array;
  /** What films carry at that suction; null: nothing. */
  filmsMmPerH: Float64Array | null;
  saturatedFraction: number;
  saturatedMmPerH: number;
  wettingAlphaFactor: number;
}

/** Mualem's pore-connection exponent, where a sand states none. */
export const MUALEM_L = 0.5;

/** Parameters of the van Genuchten-Mualem functions. */
export interface VanGenuchten {
  residualFraction: number;
  saturatedFraction: number;
  /** Inverse of the suction near which air enters, 1/cm as the tables print it. */
  alphaPerCm: number;
  n: number;
  saturatedMmPerH: number;
  /** Pore-connection exponent; Mualem's 0.5 when left out. */
  l?: number;
  /**
   * How many times alpha of the main wetting curve is that of the main drying one, from 1 on, and 1
   * when left out: no hysteresis. About 1 to 2 in sands (Kool & Parker 1987, from memory).
   */
  wettingAlphaFactor?: number;
  /**
   * Part of the saturated conductivity that is the films' instead of the pores', about 1e-5 to 1e-3;
   * 0 when left out.
   */
  filmFraction?: number;
}

/** Parameters of the Haverkamp functions, in the units of the literature (suction in cm). */
interface Haverkamp {
  residualFraction: number;
  saturatedFraction: number;
  /** Water content: `alpha / (alpha + suction^beta)`. */
  alpha: number;
  beta: number;
  /** Conductivity: `a / (a + suction^gamma)`. */
  a: number;
  gamma: number;
  saturatedMmPerH: number;
}

function checkWaterRange(where: string, range: { residual: number; saturated: number }): void {
  if (!(range.residual >= 0 && range.saturated > range.residual && range.saturated < 1)) {
    throw new RangeError(
      `${where}: water contents must satisfy 0 <= residual < saturated < 1 (got ${range.residual} and ${range.saturated}); give both as fractions of the volume`,
    );
  }
}

function checkPositive(where: string, values: Record<string, number>): void {
  for (const [name, value] of Object.entries(values)) {
    if (!(value > 0 && Number.isFinite(value))) {
      throw new RangeError(`${where}: ${name} must be above 0 (got ${value}); check its unit`);
    }
  }
}

/** A sand from its three functions of the head, read node by node. */
export function fromPointFunctions(soil: Omit<SoilHydraulics, 'fill'>): SoilHydraulics {
  return {
    ...soil,
    fill(nodes, from, to) {
      for (let i = from; i < to; i++) {
        const headMm = at(nodes.headMm, i);
        nodes.waterFraction[i] = soil.waterFraction(headMm);
        nodes.capacityPerMm[i] = soil.capacityPerMm(headMm);
        nodes.conductivityMmPerH[i] = soil.conductivityMmPerH(headMm);
      }
    },
  };
}

/**
 * Water retention after van Genuchten with Mualem's conductivity: for a head h below 0,
 *
 *     Se(h)    = (1 + (alpha |h|)^n)^-m,   m = 1 - 1/n          (effective saturation, 0 to 1)
 *     theta(h) = theta_r + (theta_s - theta_r) Se
 *     C(h)     = dtheta/dh = (theta_s - theta_r) m n x (1 + x)^(-m-1) / |h|,   x = (alpha |h|)^n
 *     K(h)     = K_s Se^l (1 - (1 - Se^(1/m))^m)^2,   Se^(1/m) = 1 / (1 + x)
 *
 * and theta_s, 0 and K_s from h = 0 on. With a film fraction w, of which water in films on the grains
 * carries on when the pores are empty,
 *
 *     K(h) = K_s ((1 - w) K_pores + w K_films),   K_films = min(1, (alpha |h|)^-1.5)
 *
 * where K_pores is Mualem's function above and 1 / alpha stands for the suction of air entry.
 *
 * Valid for a rigid sand. Laboratory curves are drained ones: with a `wettingAlphaFactor` above 1
 * these are the functions of the main drying curve, and a column of the sand follows scanning paths
 * between it and the main wetting curve.
 *
 * @param sand water contents as fractions of the volume; alpha 1/cm, about 0.01-0.2 for sands; n
 *   above 1, about 1.5-8 for sands; saturated conductivity mm/h
 * @returns functions of the pressure head in mm; conductivity mm/h
 * @throws RangeError when a parameter lies outside its range
 * Source: van Genuchten 1980, Soil Sci. Soc. Am. J. 44:892-898, eq. 3 and 8; Mualem 1976. Films:
 *   Peters & Durner 2008, J. Hydrol. 356:147-162, with the power of Tokunaga 2009, Water Resour.
 *   Res. 45:W06415 (both from memory).
 * @example New Mexico sand of Celia et al. 1990 (alpha 0.0335 1/cm, n 2, 0.368/0.102):
 *   waterFraction(-10000) = 0.1099, waterFraction(-750) = 0.2004
 */
export function vanGenuchtenMualem(sand: VanGenuchten): SoilHydraulics {
  const where = 'vanGenuchtenMualem';
  checkWaterRange(where, { residual: sand.residualFraction, saturated: sand.saturatedFraction });
  checkPositive(where, { alphaPerCm: sand.alphaPerCm, saturatedMmPerH: sand.saturatedMmPerH });
  if (!(sand.n > 1)) {
    throw new RangeError(`${where}: n must be above 1 (got ${sand.n}); sands lie near 1.5 to 8`);
  }
  const { wettingAlphaFactor = 1, filmFraction: w = 0 } = sand;
  if (!(wettingAlphaFactor >= 1 && Number.isFinite(wettingAlphaFactor))) {
    throw new RangeError(
      `${where}: wettingAlphaFactor must be 1 or more (got ${wettingAlphaFactor}); alpha is that of the drained curve`,
    );
  }
  if (!(w >= 0 && w < 1)) {
    throw new RangeError(
      `${where}: filmFraction must lie from 0 to below 1 (got ${w}); sands lie near 1e-5 to 1e-3`,
    );
  }
  const { residualFraction: thetaR, saturatedFraction: thetaS, saturatedMmPerH: Ks, n } = sand;
  const alpha = sand.alphaPerCm / 10;
  const m = 1 - 1 / n;
  const l = sand.l ?? MUALEM_L;
  const span = thetaS - thetaR;
  const filmMmPerH = (h: number) => w * Ks * Math.min(1, (-alpha * h) ** -1.5);
  return fromPointFunctions({
    saturatedFraction: thetaS,
    residualFraction: thetaR,
    saturatedMmPerH: Ks,
    wettingAlphaFactor,
    filmMmPerH: w > 0 ? filmMmPerH : undefined,
    waterFraction(h) {
      if (h >= 0) return thetaS;
      return thetaR + span * (1 + (-alpha * h) ** n) ** -m;
    },
    capacityPerMm(h) {
      if (h >= 0) return 0;
      const x = (-alpha * h) ** n;
      return (span * m * n * x * (1 + x) ** (-m - 1)) / -h;
    },
    conductivityMmPerH(h) {
      if (h >= 0) return Ks;
      const x = (-alpha * h) ** n;
      const Se = (1 + x) ** -m;
      const y = 1 / (1 + x);
      // 1 - (1 - y)^m; in dry sand the difference drowns in rounding, so its series is used.
      const open = y < 1e-4 ? m * y * (1 + ((1 - m) * y) / 2) : 1 - (1 - y) ** m;
      const pores = Ks * Se ** l * open * open;
      return w > 0 ? (1 - w) * pores + filmMmPerH(h) : pores;
    },
  });
}

/**
 * Water retention and conductivity of the power form used for Haverkamp's laboratory sand: for a
 * suction psi = |h| in cm,
 *
 *     theta = theta_r + (theta_s - theta_r) alpha / (alpha + psi^beta),   K = K_s a / (a + psi^gamma)
 *
 * @param sand alpha, beta, a, gamma with the suction in cm; saturated conductivity mm/h
 * @returns functions of the pressure head in mm; conductivity mm/h
 * @throws RangeError when a parameter lies outside its range
 * Source: Haverkamp et al. 1977, Soil Sci. Soc. Am. J. 41:285-294; parameters as in Celia et al.
 *   1990, Water Resour. Res. 26:1483-1496.
 * @example alpha 1.611e6, beta 3.96, 0.287/0.075: waterFraction(-615) = 0.0999
 */
export function haverkamp(sand: Haverkamp): SoilHydraulics {
  const where = 'haverkamp';
  checkWaterRange(where, { residual: sand.residualFraction, saturated: sand.saturatedFraction });
  const { alpha, beta, a, gamma, saturatedMmPerH } = sand;
  checkPositive(where, { alpha, beta, a, gamma, saturatedMmPerH });
  const span = sand.saturatedFraction - sand.residualFraction;
  return fromPointFunctions({
    saturatedFraction: sand.saturatedFraction,
    residualFraction: sand.residualFraction,
    saturatedMmPerH,
    waterFraction(headMm) {
      if (headMm >= 0) return sand.saturatedFraction;
      return sand.residualFraction + (span * alpha) / (alpha + (-headMm / 10) ** beta);
    },
    capacityPerMm(headMm) {
      if (headMm >= 0) return 0;
      const power = (-headMm / 10) ** beta;
      return (span * alpha * beta * power) / (alpha + power) ** 2 / -headMm;
    },
    conductivityMmPerH(headMm) {
      if (headMm >= 0) return saturatedMmPerH;
      return (saturatedMmPerH * a) / (a + (-headMm / 10) ** gamma);
    },
  });
}

const LEAST_SUCTION_MM = 0.1;
const GREATEST_SUCTION_MM = 1e7;
const INTERVALS = 2048;

/**
 * The same sand with its three functions read from a table: several times faster, because powers
 * are the dearest part of the numerical column.
 *
 * Straight lines between 2049 points in the logarithm of suction. The water content stays monotone
 * and the capacity is the slope of those very lines, so water is conserved as with the functions
 * themselves. Within about 2e-5 of the water content and 0.2 % of the conductivity. A hysteretic sand
 * gets the table that its columns follow their paths in.
 *
 * @param soil the sand to tabulate
 * @returns a sand with the same limits
 * @throws RangeError never of itself
 */
export function tabulated(soil: SoilHydraulics): SoilHydraulics {
  const start = Math.log(LEAST_SUCTION_MM);
  const step = (Math.log(GREATEST_SUCTION_MM) - start) / INTERVALS;
  const water = new Float64Array(INTERVALS + 1);
  const conductivity = new Float64Array(INTERVALS + 1);
  for (let j = 0; j <= INTERVALS; j++) {
    const headMm = -Math.exp(start + j * step);
    water[j] = soil.waterFraction(headMm);
    conductivity[j] = soil.conductivityMmPerH(headMm);
  }
  const { saturatedFraction: thetaS, saturatedMmPerH: Ks } = soil;
  const fill: SoilHydraulics['fill'] = (nodes, from, to) => {
    const { headMm: h, waterFraction: theta, capacityPerMm: C, conductivityMmPerH: K } = nodes;
    for (let i = from; i < to; i++) {
      const suctionMm = -at(h, i);
      if (suctionMm <= LEAST_SUCTION_MM) {
        // Between saturation and the first point: a straight line in the head itself.
        const part = suctionMm <= 0 ? 0 : suctionMm / LEAST_SUCTION_MM;
        const fall = thetaS - at(water, 0);
        theta[i] = thetaS - part * fall;
        C[i] = suctionMm <= 0 ? 0 : fall / LEAST_SUCTION_MM;
        K[i] = Ks - part * (Ks - at(conductivity, 0));
        continue;
      }
      const place = Math.min((Math.log(suctionMm) - start) / step, INTERVALS - 1e-9);
      const j = place | 0;
      const part = place - j;
      const thetaJ = at(water, j);
      const rise = at(water, j + 1) - thetaJ;
      const KJ = at(conductivity, j);
      theta[i] = thetaJ + part * rise;
      C[i] = -rise / (step * suctionMm);
      K[i] = KJ + part * (at(conductivity, j + 1) - KJ);
    }
  };
  const one = {
    headMm: new Float64Array(1),
    waterFraction: new Float64Array(1),
    capacityPerMm: new Float64Array(1),
    conductivityMmPerH: new Float64Array(1),
  };
  const propertyAt = (headMm: number, which: keyof typeof one): number => {
    one.headMm[0] = headMm;
    fill(one, 0, 1);
    return at(one[which], 0);
  };
  const { filmMmPerH, wettingAlphaFactor = 1 } = soil;
  const films = filmMmPerH && water.map((_, j) => filmMmPerH(-Math.exp(start + j * step)));
  const dryingTable: DryingTable | undefined =
    wettingAlphaFactor > 1
      ? {
          startLog: start,
          stepLog: step,
          leastSuctionMm: LEAST_SUCTION_MM,
          waterFraction: water,
          poresMmPerH: films ? conductivity.map((K, j) => K - at(films, j)) : conductivity,
          filmsMmPerH: films ?? null,
          saturatedFraction: thetaS,
          saturatedMmPerH: Ks,
          wettingAlphaFactor,
        }
      : undefined;
  return {
    saturatedFraction: soil.saturatedFraction,
    residualFraction: soil.residualFraction,
    saturatedMmPerH: soil.saturatedMmPerH,
    wettingAlphaFactor,
    filmMmPerH,
    dryingTable,
    waterFraction: (headMm) => propertyAt(headMm, 'waterFraction'),
    capacityPerMm: (headMm) => propertyAt(headMm, 'capacityPerMm'),
    conductivityMmPerH: (headMm) => propertyAt(headMm, 'conductivityMmPerH'),
    fill,
  };
}
