import { requireNumbers } from '../input-range.ts';

/** What Green and Ampt's model needs to know of a sand. */
interface WettingFront {
  /** Conductivity of the wetted zone: Rawls' values are about half the saturated one, mm/h. */
  conductivityMmPerH: number;
  /** Suction at the wetting front; a ponded depth is added to it, mm. */
  suctionMm: number;
  /** Water content that the front still takes up: that of the wetted zone less that ahead. */
  deficitFraction: number;
}

/** Suction of a sand at the wetting front, mm (Rawls, Brakensiek & Miller 1983). */
export const SAND_FRONT_SUCTION_MM = 49.5;

/** State of the surface after some time under a steady rate. */
interface InfiltrationState {
  /** Depth that has gone in, mm. */
  infiltratedMm: number;
  /** Rate at which it goes in now, mm/h. */
  infiltrationMmPerH: number;
  /** Depth that did not go in: it stands on the surface or runs off, mm. */
  surplusMm: number;
}

/** When free water first stands on the surface, and what has gone in by then. */
interface Ponding {
  afterH: number;
  infiltratedMm: number;
}

/**
 * Depth that has gone in since a surface was flooded, mm, by Green and Ampt.
 *
 * Assumes a uniform sand, a sharp front, free air ahead and a thin film on the surface.
 *
 * @param sand conductivity above 0 mm/h, suction at least 0 mm, deficit 0 to 1.
 * @param timeH at least 0 h.
 * @throws RangeError when an input is outside its range.
 * Source: Green & Ampt 1911; example Chow, Maidment & Mays 1988, Ex. 4.3.1 (from memory).
 * @example
 * const siltLoam = { conductivityMmPerH: 6.5, suctionMm: 167, deficitFraction: 0.34 };
 * floodedInfiltrationMm(siltLoam, 1); // 31.7
 */
export function floodedInfiltrationMm(sand: WettingFront, timeH: number): number {
  requireSand('floodedInfiltrationMm', sand);
  requireNumbers('floodedInfiltrationMm', { timeH: [timeH, { atLeast: 0 }] });
  const takenUpMm = sand.suctionMm * sand.deficitFraction;
  return frontAdvanceMm({
    takenUpMm,
    scaleMm: takenUpMm,
    drainedMm: sand.conductivityMmPerH * timeH,
  });
}

/**
 * Rate that a flooded surface takes in after a depth has gone in, mm/h, by Green and Ampt.
 *
 * @param sand as for {@link floodedInfiltrationMm}.
 * @param infiltratedMm above 0 mm: at the first instant the rate has no bound.
 * @throws RangeError when an input is outside its range.
 * Source: Green & Ampt 1911; example Chow, Maidment & Mays 1988, Ex. 4.3.1 (from memory).
 * @example
 * const siltLoam = { conductivityMmPerH: 6.5, suctionMm: 167, deficitFraction: 0.34 };
 * infiltrationCapacityMmPerH(siltLoam, 31.67); // 18.2
 */
export function infiltrationCapacityMmPerH(sand: WettingFront, infiltratedMm: number): number {
  requireSand('infiltrationCapacityMmPerH', sand);
  requireNumbers('infiltrationCapacityMmPerH', { infiltratedMm: [infiltratedMm, { above: 0 }] });
  const takenUpMm = sand.suctionMm * sand.deficitFraction;
  return sand.conductivityMmPerH * (1 + takenUpMm / infiltratedMm);
}

/**
 * When a steady rate first outruns the sand, or null when it never does because the rate is at most
 * the conductivity.
 *
 * @param sand as for {@link floodedInfiltrationMm}.
 * @param rateMmPerH rate on the ground, above 0 mm/h.
 * @throws RangeError when an input is outside its range.
 * Source: Mein & Larson 1973; example Chow, Maidment & Mays 1988, Ex. 4.4.1 (from memory).
 * @example
 * const siltLoam = { conductivityMmPerH: 6.5, suctionMm: 167, deficitFraction: 0.34 };
 * pondingUnderRate(siltLoam, 50); // { afterH: 0.17, infiltratedMm: 8.49 }
 */
export function pondingUnderRate(sand: WettingFront, rateMmPerH: number): Ponding | null {
  requireSand('pondingUnderRate', sand);
  requireNumbers('pondingUnderRate', { rateMmPerH: [rateMmPerH, { above: 0 }] });
  const { conductivityMmPerH, suctionMm, deficitFraction } = sand;
  if (rateMmPerH <= conductivityMmPerH) return null;
  const infiltratedMm =
    (suctionMm * deficitFraction * conductivityMmPerH) / (rateMmPerH - conductivityMmPerH);
  return { afterH: infiltratedMm / rateMmPerH, infiltratedMm };
}

/**
 * What has gone in and what has not after some time under a steady rate: depth, rate and surplus.
 *
 * Everything goes in until ponding, then the front takes what Green and Ampt allow. The surplus
 * stands on the surface or leaves; its head on the front is left out.
 *
 * @param asked the sand as for {@link floodedInfiltrationMm}; rate above 0 mm/h; time above 0 h.
 * @throws RangeError when an input is outside its range.
 * Source: Mein & Larson 1973; example Chow, Maidment & Mays 1988, Ex. 4.4.2 (from memory).
 * @example
 * const siltLoam = { conductivityMmPerH: 6.5, suctionMm: 167, deficitFraction: 0.34 };
 * infiltrationUnderRate({ sand: siltLoam, rateMmPerH: 50, timeH: 1 });
 * // { infiltratedMm: 30.2, infiltrationMmPerH: 18.7, surplusMm: 19.8 }
 */
export function infiltrationUnderRate(asked: {
  sand: WettingFront;
  rateMmPerH: number;
  timeH: number;
}): InfiltrationState {
  const { sand, rateMmPerH, timeH } = asked;
  requireNumbers('infiltrationUnderRate', { timeH: [timeH, { above: 0 }] });
  const ponding = pondingUnderRate(sand, rateMmPerH);
  if (ponding === null || timeH <= ponding.afterH) {
    return {
      infiltratedMm: rateMmPerH * timeH,
      infiltrationMmPerH: rateMmPerH,
      surplusMm: 0,
    };
  }
  const takenUpMm = sand.suctionMm * sand.deficitFraction;
  const sincePondingMm = frontAdvanceMm({
    takenUpMm,
    scaleMm: takenUpMm + ponding.infiltratedMm,
    drainedMm: sand.conductivityMmPerH * (timeH - ponding.afterH),
  });
  const appliedMm = rateMmPerH * timeH;
  const infiltratedMm = Math.min(appliedMm, ponding.infiltratedMm + sincePondingMm);
  return {
    infiltratedMm,
    infiltrationMmPerH: Math.min(rateMmPerH, infiltrationCapacityMmPerH(sand, infiltratedMm)),
    surplusMm: appliedMm - infiltratedMm,
  };
}

/**
 * Longest dose at a steady rate whose surplus stays within a depth, mm; Infinity when the rate never
 * outruns the sand.
 *
 * At the end of that dose the surplus S is on the surface, so the time is (F + S) / i. Put into Mein
 * and Larson's equation this is Green and Ampt's again, with the scale at ponding and K S / (i - K)
 * in place of K t.
 *
 * @param asked the sand as for {@link floodedInfiltrationMm}; rate above 0 mm/h; surplus at least
 *   0 mm.
 * @throws RangeError when an input is outside its range.
 * Source: derived from Mein & Larson 1973.
 * @example
 * // The surplus of the example above is 19.8 mm after 50 mm, so the way back gives 50 mm.
 */
export function longestDoseMm(asked: {
  sand: WettingFront;
  rateMmPerH: number;
  surplusMm: number;
}): number {
  const { sand, rateMmPerH, surplusMm } = asked;
  requireNumbers('longestDoseMm', { surplusMm: [surplusMm, { atLeast: 0 }] });
  const ponding = pondingUnderRate(sand, rateMmPerH);
  if (ponding === null) return Number.POSITIVE_INFINITY;
  const scaleMm = sand.suctionMm * sand.deficitFraction + ponding.infiltratedMm;
  const drainedMm = (sand.conductivityMmPerH * surplusMm) / (rateMmPerH - sand.conductivityMmPerH);
  const sincePondingMm = frontAdvanceMm({ takenUpMm: scaleMm, scaleMm, drainedMm });
  return ponding.infiltratedMm + sincePondingMm + surplusMm;
}

/**
 * Solves y - M ln(1 + y / N) = a for y, with N at least M: the depth y that goes in while gravity
 * alone would have carried a.
 *
 * The left side is convex and rises, and it is at least a at the start chosen here (from
 * x - ln(1 + x) >= x² / (2 (1 + x))), so Newton's steps come down to the root and never pass it.
 */
function frontAdvanceMm({
  takenUpMm,
  scaleMm,
  drainedMm,
}: {
  takenUpMm: number;
  scaleMm: number;
  drainedMm: number;
}): number {
  if (drainedMm === 0) return 0;
  // A front without suction only drains; below this the logarithm's share is lost in rounding.
  if (takenUpMm < 1e-12 * drainedMm) return drainedMm;
  const M = takenUpMm;
  const N = scaleMm;
  const a = drainedMm;
  let y = a + Math.sqrt(a * a + 2 * N * a);
  for (let step = 0; step < 100; step += 1) {
    const excess = y - M * Math.log1p(y / N) - a;
    const slope = 1 - M / (N + y);
    const next = y - excess / slope;
    if (!(next < y) || next <= 0) break;
    y = next;
  }
  return y;
}

function requireSand(where: string, sand: WettingFront): void {
  requireNumbers(where, {
    conductivityMmPerH: [sand.conductivityMmPerH, { above: 0 }],
    suctionMm: [sand.suctionMm, { atLeast: 0 }],
    deficitFraction: [sand.deficitFraction, { atLeast: 0, atMost: 1 }],
  });
}

/**
 * Depth of free water that a surface keeps in its hollows before any runs, mm.
 *
 * A figure for soil in the field: a smooth green keeps less, and under a free film fine seed floats.
 * On a bare seedbed the careful answer is 0, whatever the slope.
 *
 * @param slopePct slope, 0 to 100 %.
 * @throws RangeError when the slope is outside its range.
 * Source: US Soil Conservation Service; Dillon et al. 1972 (from memory): 0.5, 0.3, 0.1 and 0 in on
 * slopes of 0-1, 1-3, 3-5 and above 5 %.
 * @example
 * surfaceStorageMm(2); // 7.6
 */
export function surfaceStorageMm(slopePct: number): number {
  requireNumbers('surfaceStorageMm', { slopePct: [slopePct, { atLeast: 0, atMost: 100 }] });
  if (slopePct <= 1) return 12.7;
  if (slopePct <= 3) return 7.6;
  if (slopePct <= 5) return 2.5;
  return 0;
}
