import { at as checkedAt } from '../checked-entry.ts';
import type { ColumnGrid } from './column-grid.ts';
import type { HydraulicArrays, SoilHydraulics } from './hydraulic-properties.ts';
import { fillOnPaths, type ScanningPaths } from './hysteresis.ts';
import { solveTridiagonal, type Tridiagonal } from './tridiagonal.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** What holds at the surface: a head, or the weather with a limit on how dry the sand can get. */
export type TopBoundary =
  | { kind: 'fixed_head'; headMm: number }
  /** Driest head that the air can pull the surface to; deepest water that can stand on it. */
  | { kind: 'atmosphere'; dryHeadMm: number; pondMm: number };

/**
 * What holds at the bottom: a head; water falling freely (unit gradient); or a seepage face, as over
 * gravel: nothing leaves until the sand there is saturated.
 */
export type BottomBoundary =
  | { kind: 'fixed_head'; headMm: number }
  | { kind: 'free_drainage' }
  | { kind: 'seepage_face' };

/** One kind of sand, from the node after the layer above down to `lastNode`. */
export interface SandLayer {
  soil: SoilHydraulics;
  lastNode: number;
}

/** A column with its state. The arrays change as the column is run. */
export interface Column {
  grid: ColumnGrid;
  layers: readonly SandLayer[];
  top: TopBoundary;
  bottom: BottomBoundary;
  /** Heads and properties at the end of the last accepted step. */
  headMm: Float64Array;
  /** Water content that the balance carries: exact in mass, within 1e-6 of the curve's. */
  waterFraction: Float64Array;
  pondMm: number;
  /** What each node remembers of its wetting and drying; null: no sand of the column is hysteretic. */
  paths: ScanningPaths | null;
  /** Length of the next time step to try. */
  stepH: number;
  work: HydraulicArrays & {
    massFraction: Float64Array;
    faceMmPerH: Float64Array;
    system: Tridiagonal;
  };
}

/** Flows across the ends during one step, mm/h, downward positive. */
interface StepFlow {
  iterations: number;
  topMmPerH: number;
  bottomMmPerH: number;
  pondMm: number;
}

const MOST_ITERATIONS = 14;
/** Most that an end may change between a held head and a given flow within one step. */
const MOST_SWITCHES = 6;
const WATER_TOLERANCE_FRACTION = 1e-6;
const HEAD_TOLERANCE_MM = 0.05;

/** The properties of every node at the heads that are tried. */
export function fillProperties({ layers, work, paths }: Pick<Column, 'layers' | 'work' | 'paths'>) {
  let from = 0;
  for (const { soil, lastNode } of layers) {
    const { dryingTable: table } = soil;
    const to = lastNode + 1;
    if (paths !== null && table !== undefined) fillOnPaths(work, { table, paths }, { from, to });
    else soil.fill(work, from, to);
    from = to;
  }
}

/** A step while it is iterated; one object a step, so that nothing is allocated on the way. */
interface Attempt {
  /** Its length, hours. */
  dt: number;
  supplyMmPerH: number;
  /** Heads that hold at the ends during an iteration; null where the flow is given. */
  heldTopMm: number | null;
  heldBottomMm: number | null;
  /** How often an end has changed between the two. */
  switches: number;
  /** Flows between the first two and the last two nodes with the change of the heads. */
  qBelowFirst: number;
  qAboveLast: number;
  /** Flow out of a bottom that drains freely. */
  qFree: number;
}

/**
 * Tries one implicit step of the mixed form of the Richards equation, z downward,
 *
 *     dtheta/dt = -dq/dz,   q = K(h) (1 - dh/dz),
 *
 * by modified Picard iteration. `theta0` is the water content at the step's beginning; an iterate has
 * the heads `h` (mm) with theta(h), C(h) = dtheta/dh (1/mm) and K(h) (mm/h). The change `delta` (mm)
 * of each head follows from the water balance of the sand, `w` mm thick, that its node speaks for,
 * over `dt` hours:
 *
 *     w[i] (C[i] delta[i] + theta[i] - theta0[i]) / dt = qNew[i-1/2] - qNew[i+1/2]
 *     qNew[i+1/2] = q[i+1/2] + K[i+1/2] (delta[i] - delta[i+1]) / dz[i]
 *     q[i+1/2]    = K[i+1/2] (1 + (h[i] - h[i+1]) / dz[i])
 *     K[i+1/2]    = (K[i] + K[i+1]) / 2
 *
 * which is one tridiagonal system for delta. The water content carried forward is the linear one of
 * the last iteration, theta + C delta, in which the flows balance to rounding; the curve's own value
 * lies within the tolerance of it, and the next step starts from the balance, so that the error does
 * not add up. Under hysteresis theta(h) and C(h) are those of the path that each node is on, or would
 * turn to, as the last accepted step left them: the iteration itself turns nothing.
 *
 * On success the new state stands in `column.work`, for the caller to take; on failure (null) the
 * column is as it was.
 *
 * @param step `hours`: dt; `supplyMmPerH`: water less demand at the surface, mm/h
 * Source: Celia, Bouloutas & Zarba 1990, Water Resour. Res. 26:1483-1496, eq. 16-17, with z upward
 *   there; arithmetic mean of the conductivity between nodes.
 */
export function tryStep(
  column: Column,
  { hours: dt, supplyMmPerH }: { hours: number; supplyMmPerH: number },
): StepFlow | null {
  const { work } = column;
  const { headMm: h, conductivityMmPerH: K, system } = work;
  const last = h.length - 1;
  h.set(column.headMm);
  const attempt: Attempt = {
    dt,
    supplyMmPerH,
    heldTopMm: topHeldAtFirst(column, supplyMmPerH),
    heldBottomMm: bottomHeldAtFirst(column),
    switches: 0,
    qBelowFirst: 0,
    qAboveLast: 0,
    qFree: 0,
  };
  fillProperties(column);

  for (let iterations = 1; iterations <= MOST_ITERATIONS; iterations++) {
    buildBalances(column, attempt);
    buildEnds(column, attempt);
    solveTridiagonal(system);

    // Of the iterate that the balances were built on, before K moves on with the heads.
    attempt.qBelowFirst = flowAfterChange(column, 0);
    attempt.qAboveLast = flowAfterChange(column, last - 1);
    attempt.qFree = at(K, last);

    const saturatedChangeMm = applyChange(work);
    if (saturatedChangeMm === null) return null;
    fillProperties(column);

    const topMmPerH = flowThroughTop(column, attempt);
    const bottomMmPerH = flowThroughBottom(column, attempt);
    const nextTopMm = topHeldNext(column, attempt, topMmPerH);
    const nextBottomMm = bottomHeldNext(column, attempt, bottomMmPerH);
    if (nextTopMm !== attempt.heldTopMm || nextBottomMm !== attempt.heldBottomMm) {
      attempt.heldTopMm = nextTopMm;
      attempt.heldBottomMm = nextBottomMm;
      attempt.switches++;
      continue;
    }
    if (
      iterations > 1 &&
      saturatedChangeMm < HEAD_TOLERANCE_MM &&
      distanceFromCurve(work) < WATER_TOLERANCE_FRACTION
    ) {
      return { iterations, topMmPerH, bottomMmPerH, pondMm: Math.max(at(h, 0), 0) };
    }
  }
  return null;
}

function topHeldAtFirst({ top, headMm }: Column, supplyMmPerH: number): number | null {
  if (top.kind === 'fixed_head') return top.headMm;
  return supplyMmPerH < 0 && at(headMm, 0) <= top.dryHeadMm ? top.dryHeadMm : null;
}

function bottomHeldAtFirst({ bottom, headMm }: Column): number | null {
  if (bottom.kind === 'fixed_head') return bottom.headMm;
  return bottom.kind === 'seepage_face' && at(headMm, headMm.length - 1) >= 0 ? 0 : null;
}

/** The water balance of every node as a row of the system, the flow given at both ends. */
function buildBalances(column: Column, { dt, supplyMmPerH }: Attempt): void {
  const { grid, work, bottom, waterFraction: theta0 } = column;
  const { widthMm: w, spacingMm: dz } = grid;
  const { headMm: h, waterFraction: theta, capacityPerMm: C, conductivityMmPerH: K } = work;
  const { faceMmPerH: q, system } = work;
  const { below, diagonal, above, right } = system;
  const last = h.length - 1;
  let qAbove = supplyMmPerH;
  // K[i+1/2] / dz[i], 1/h: the flow that a difference of head of 1 mm between two nodes drives.
  let gAbove = 0;
  for (let i = 0; i <= last; i++) {
    const wi = at(w, i);
    let qBelow: number;
    let gBelow = 0;
    if (i < last) {
      const KBelow = (at(K, i) + at(K, i + 1)) / 2;
      gBelow = KBelow / at(dz, i);
      qBelow = KBelow + gBelow * (at(h, i) - at(h, i + 1));
      q[i] = qBelow;
    } else {
      // Free drainage: dh/dz = 0, so that q = K.
      qBelow = bottom.kind === 'free_drainage' ? at(K, i) : 0;
    }
    diagonal[i] = (wi * at(C, i)) / dt + gAbove + gBelow;
    below[i] = -gAbove;
    above[i] = -gBelow;
    right[i] = qAbove - qBelow - (wi * (at(theta, i) - at(theta0, i))) / dt;
    qAbove = qBelow;
    gAbove = gBelow;
  }
}

/** The rows of the two ends: `delta` leads to the head that is held there, or water stands on top. */
function buildEnds(column: Column, { dt, heldTopMm, heldBottomMm }: Attempt): void {
  const { headMm: h, system } = column.work;
  const { below, diagonal, above, right } = system;
  const last = h.length - 1;
  const surfaceMm = at(h, 0);
  if (heldTopMm !== null) {
    diagonal[0] = 1;
    above[0] = 0;
    right[0] = heldTopMm - surfaceMm;
  } else {
    // Water standing on the surface is held at the first node as well: 1 mm of it for 1 mm of head.
    right[0] = at(right, 0) - (Math.max(surfaceMm, 0) - column.pondMm) / dt;
    if (surfaceMm > 0) diagonal[0] = at(diagonal, 0) + 1 / dt;
  }
  if (heldBottomMm !== null) {
    diagonal[last] = 1;
    below[last] = 0;
    right[last] = heldBottomMm - at(h, last);
  } else if (at(diagonal, last) === 0) diagonal[last] = 1;
}

/** qNew[i+1/2], mm/h: the flow below a node with the change of the heads. */
function flowAfterChange({ grid, work }: Column, i: number): number {
  const { conductivityMmPerH: K, faceMmPerH: q, system } = work;
  const { solution: delta } = system;
  const g = (at(K, i) + at(K, i + 1)) / 2 / at(grid.spacingMm, i);
  return at(q, i) + g * (at(delta, i) - at(delta, i + 1));
}

/**
 * h + delta and theta + C delta.
 *
 * @returns the greatest change of a head that is now above 0, where C = 0 and theta tells nothing of
 *   it, mm; null when a head is no number any more
 */
function applyChange(work: Column['work']): number | null {
  const { headMm: h, waterFraction: theta, capacityPerMm: C, massFraction, system } = work;
  const { solution: delta } = system;
  let greatestMm = 0;
  for (let i = 0; i < h.length; i++) {
    const change = at(delta, i);
    massFraction[i] = at(theta, i) + at(C, i) * change;
    const next = at(h, i) + change;
    if (!Number.isFinite(next)) return null;
    h[i] = next;
    if (next > 0 && Math.abs(change) > greatestMm) greatestMm = Math.abs(change);
  }
  return greatestMm;
}

/** Greatest distance of the balance's water content from the curve's. */
function distanceFromCurve({ waterFraction: theta, massFraction }: Column['work']): number {
  let greatest = 0;
  for (let i = 0; i < theta.length; i++) {
    const distance = Math.abs(at(theta, i) - at(massFraction, i));
    if (distance > greatest) greatest = distance;
  }
  return greatest;
}

/** Rise of the water that a node speaks for, w (theta - theta0) / dt, mm/h. */
function risingMmPerH(
  { grid, work, waterFraction: theta0 }: Column,
  i: number,
  dt: number,
): number {
  return (at(grid.widthMm, i) / dt) * (at(work.massFraction, i) - at(theta0, i));
}

/** What went in at the surface: as given, or what closes the balance of a held head. */
function flowThroughTop(
  column: Column,
  { dt, supplyMmPerH, heldTopMm, qBelowFirst }: Attempt,
): number {
  if (heldTopMm === null) return supplyMmPerH;
  const inMmPerH = risingMmPerH(column, 0, dt) + qBelowFirst;
  if (column.top.kind === 'fixed_head') return inMmPerH;
  return inMmPerH + (Math.max(at(column.work.headMm, 0), 0) - column.pondMm) / dt;
}

/** What left at the bottom. */
function flowThroughBottom(
  column: Column,
  { dt, heldBottomMm, qAboveLast, qFree }: Attempt,
): number {
  if (heldBottomMm !== null) {
    return qAboveLast - risingMmPerH(column, column.work.headMm.length - 1, dt);
  }
  return column.bottom.kind === 'free_drainage' ? qFree : 0;
}

/** The head to hold at the surface from here on: the air's, the full pond's, or none. */
function topHeldNext(
  { top, work }: Column,
  { supplyMmPerH, heldTopMm, switches }: Attempt,
  topMmPerH: number,
): number | null {
  if (top.kind === 'fixed_head') return heldTopMm;
  if (heldTopMm === null) {
    const surfaceMm = at(work.headMm, 0);
    if (surfaceMm < top.dryHeadMm) return top.dryHeadMm;
    return surfaceMm > top.pondMm && supplyMmPerH > 0 ? top.pondMm : null;
  }
  const isNotNeeded = heldTopMm < 0 ? topMmPerH < supplyMmPerH : topMmPerH > supplyMmPerH;
  return isNotNeeded && switches < MOST_SWITCHES ? null : heldTopMm;
}

/** The head to hold at the bottom from here on: a seepage face opens when full and draws nothing in. */
function bottomHeldNext(
  { bottom, work }: Column,
  { heldBottomMm, switches }: Attempt,
  bottomMmPerH: number,
): number | null {
  if (bottom.kind !== 'seepage_face' || switches >= MOST_SWITCHES) return heldBottomMm;
  if (heldBottomMm !== null) return bottomMmPerH < 0 ? null : heldBottomMm;
  return at(work.headMm, work.headMm.length - 1) > 0 ? 0 : null;
}
