import type { HydraulicArrays, SoilHydraulics } from './hydraulic-properties.ts';

/** Where the nodes of a column stand. The first is the surface, the last the bottom. */
export interface ColumnGrid {
  /** Depth of each node below the surface. */
  depthMm: Float64Array;
  /** Distance from each node to the next. */
  spacingMm: Float64Array;
  /** Thickness of sand that each node speaks for: half-way to its neighbours. */
  widthMm: Float64Array;
}

/** A grid from node depths, which begin at 0 and increase. */
export function gridFromDepths(depthsMm: readonly number[]): ColumnGrid {
  const count = depthsMm.length;
  if (count < 3 || depthsMm[0] !== 0) {
    throw new RangeError(
      `gridFromDepths: needs at least three depths beginning at 0 (got ${count} from ${depthsMm[0]}); add nodes`,
    );
  }
  const depthMm = Float64Array.from(depthsMm);
  const spacingMm = new Float64Array(count - 1);
  const widthMm = new Float64Array(count);
  for (let i = 0; i + 1 < count; i++) {
    const spacing = (depthMm[i + 1] as number) - (depthMm[i] as number);
    if (!(spacing > 0)) {
      throw new RangeError(
        `gridFromDepths: depths must increase (got a step of ${spacing} mm after node ${i}); sort them`,
      );
    }
    spacingMm[i] = spacing;
    widthMm[i] = (widthMm[i] as number) + spacing / 2;
    widthMm[i + 1] = spacing / 2;
  }
  return { depthMm, spacingMm, widthMm };
}

/** Nodes at equal distances. */
export function evenGrid({ depthMm, nodes }: { depthMm: number; nodes: number }): ColumnGrid {
  return gridFromDepths(Array.from({ length: nodes }, (_, i) => (depthMm * i) / (nodes - 1)));
}

/**
 * Nodes close together at the surface, where the sand dries, and growing wider downward.
 *
 * @param depthMm depth of the column, mm
 * @param nodes number of nodes, at least 3
 * @param firstMm distance between the first two nodes, mm; less than an even spacing
 * @throws RangeError when the first spacing is not below an even one
 */
export function growingGrid({
  depthMm,
  nodes,
  firstMm,
}: {
  depthMm: number;
  nodes: number;
  firstMm: number;
}): ColumnGrid {
  const steps = nodes - 1;
  if (!(firstMm > 0 && firstMm * steps < depthMm)) {
    throw new RangeError(
      `growingGrid: the first spacing must lie between 0 and ${depthMm / steps} mm (got ${firstMm}); use evenGrid for an even one`,
    );
  }
  // Ratio of each spacing to the one above it, by bisection: their sum must be the depth.
  let low = 1 + 1e-9;
  let high = 3;
  for (let turn = 0; turn < 200; turn++) {
    const ratio = (low + high) / 2;
    if ((firstMm * (ratio ** steps - 1)) / (ratio - 1) < depthMm) low = ratio;
    else high = ratio;
  }
  const depths = [0];
  for (let i = 1; i < steps; i++) depths.push((firstMm * (low ** i - 1)) / (low - 1));
  depths.push(depthMm);
  return gridFromDepths(depths);
}

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
const WATER_TOLERANCE_FRACTION = 1e-6;
const HEAD_TOLERANCE_MM = 0.05;

function fillProperties(column: Column): void {
  let from = 0;
  for (const layer of column.layers) {
    layer.soil.fill(column.work, from, layer.lastNode + 1);
    from = layer.lastNode + 1;
  }
}

/**
 * Tries one implicit step of the mixed form of the Richards equation by modified Picard iteration.
 * On success the new state stands in `column.work` for `acceptStep`; on failure (null) nothing is
 * changed.
 *
 * The water content carried forward is the linear one of the last iteration, in which the flows
 * balance to rounding; the curve's own value lies within the tolerance of it, and the next step
 * starts from the balance, so the error does not add up.
 *
 * Source: Celia, Bouloutas & Zarba 1990, Water Resour. Res. 26:1483-1496, eq. 16-17; arithmetic mean
 * of the conductivity between nodes.
 */
export function tryStep(
  column: Column,
  { hours, supplyMmPerH }: { hours: number; supplyMmPerH: number },
): StepFlow | null {
  const { grid, work, top, bottom } = column;
  const { spacingMm, widthMm } = grid;
  const { headMm, waterFraction, capacityPerMm, conductivityMmPerH, massFraction } = work;
  const { faceMmPerH, system } = work;
  const last = headMm.length - 1;
  const oldWater = column.waterFraction;
  headMm.set(column.headMm);
  let topHeadMm: number | null = top.kind === 'fixed_head' ? top.headMm : null;
  let bottomHeadMm: number | null = bottom.kind === 'fixed_head' ? bottom.headMm : null;
  if (bottom.kind === 'seepage_face' && (column.headMm[last] as number) >= 0) bottomHeadMm = 0;
  if (top.kind === 'atmosphere' && supplyMmPerH < 0 && (headMm[0] as number) <= top.dryHeadMm) {
    topHeadMm = top.dryHeadMm;
  }
  let switches = 0;
  fillProperties(column);

  for (let iterations = 1; iterations <= MOST_ITERATIONS; iterations++) {
    const { below, diagonal, above, right, solution } = system;
    let inMmPerH = supplyMmPerH;
    let pullAbove = 0;
    for (let i = 0; i <= last; i++) {
      const width = widthMm[i] as number;
      let outMmPerH: number;
      let pullBelow = 0;
      if (i < last) {
        const face =
          ((conductivityMmPerH[i] as number) + (conductivityMmPerH[i + 1] as number)) / 2;
        pullBelow = face / (spacingMm[i] as number);
        outMmPerH = face + pullBelow * ((headMm[i] as number) - (headMm[i + 1] as number));
        faceMmPerH[i] = outMmPerH;
      } else {
        outMmPerH = bottom.kind === 'free_drainage' ? (conductivityMmPerH[i] as number) : 0;
      }
      diagonal[i] = (width * (capacityPerMm[i] as number)) / hours + pullAbove + pullBelow;
      below[i] = -pullAbove;
      above[i] = -pullBelow;
      right[i] =
        inMmPerH -
        outMmPerH -
        (width * ((waterFraction[i] as number) - (oldWater[i] as number))) / hours;
      inMmPerH = outMmPerH;
      pullAbove = pullBelow;
    }
    // Water standing on the surface is held at the first node as well: 1 mm of it for 1 mm of head.
    const surfaceMm = headMm[0] as number;
    const pondMm = Math.max(surfaceMm, 0);
    if (topHeadMm !== null) {
      diagonal[0] = 1;
      above[0] = 0;
      right[0] = topHeadMm - surfaceMm;
    } else {
      right[0] = (right[0] as number) - (pondMm - column.pondMm) / hours;
      if (surfaceMm > 0) diagonal[0] = (diagonal[0] as number) + 1 / hours;
    }
    const lastHeadMm = headMm[last] as number;
    if (bottomHeadMm !== null) {
      diagonal[last] = 1;
      below[last] = 0;
      right[last] = bottomHeadMm - lastHeadMm;
    } else if ((diagonal[last] as number) === 0) diagonal[last] = 1;
    solveTridiagonal(system);

    const firstPull = ((conductivityMmPerH[0] as number) + (conductivityMmPerH[1] as number)) / 2;
    const belowFirst =
      (faceMmPerH[0] as number) +
      (firstPull / (spacingMm[0] as number)) * ((solution[0] as number) - (solution[1] as number));
    const lastPull =
      ((conductivityMmPerH[last - 1] as number) + (conductivityMmPerH[last] as number)) /
      2 /
      (spacingMm[last - 1] as number);
    const aboveLast =
      (faceMmPerH[last - 1] as number) +
      lastPull * ((solution[last - 1] as number) - (solution[last] as number));

    let worstHeadMm = 0;
    for (let i = 0; i <= last; i++) {
      const change = solution[i] as number;
      massFraction[i] = (waterFraction[i] as number) + (capacityPerMm[i] as number) * change;
      const next = (headMm[i] as number) + change;
      if (!Number.isFinite(next)) return null;
      headMm[i] = next;
      if (next > 0 && Math.abs(change) > worstHeadMm) worstHeadMm = Math.abs(change);
    }
    const oldConductivity = conductivityMmPerH[last] as number;
    fillProperties(column);
    let worstWater = 0;
    for (let i = 0; i <= last; i++) {
      const gap = Math.abs((waterFraction[i] as number) - (massFraction[i] as number));
      if (gap > worstWater) worstWater = gap;
    }

    const storedTop =
      ((widthMm[0] as number) / hours) * ((massFraction[0] as number) - (oldWater[0] as number));
    const newSurfaceMm = headMm[0] as number;
    const newPondMm = Math.max(newSurfaceMm, 0);
    let topMmPerH = supplyMmPerH;
    let switched = false;
    if (top.kind === 'fixed_head') topMmPerH = storedTop + belowFirst;
    else if (topHeadMm === null) {
      if (newSurfaceMm < top.dryHeadMm) {
        topHeadMm = top.dryHeadMm;
        switched = true;
      } else if (newSurfaceMm > top.pondMm && supplyMmPerH > 0) {
        topHeadMm = top.pondMm;
        switched = true;
      }
    } else {
      topMmPerH = storedTop + belowFirst + (newPondMm - column.pondMm) / hours;
      const held = topHeadMm < 0 ? topMmPerH < supplyMmPerH : topMmPerH > supplyMmPerH;
      if (held && switches < 6) {
        topHeadMm = null;
        switched = true;
      }
    }
    let bottomMmPerH = bottom.kind === 'free_drainage' ? oldConductivity : 0;
    if (bottomHeadMm !== null) {
      const storedLast =
        ((widthMm[last] as number) / hours) *
        ((massFraction[last] as number) - (oldWater[last] as number));
      bottomMmPerH = aboveLast - storedLast;
      if (bottom.kind === 'seepage_face' && bottomMmPerH < 0 && switches < 6) {
        bottomHeadMm = null;
        switched = true;
      }
    } else if (bottom.kind === 'seepage_face' && (headMm[last] as number) > 0 && switches < 6) {
      bottomHeadMm = 0;
      switched = true;
    }
    if (switched) {
      switches++;
      continue;
    }
    if (
      iterations > 1 &&
      worstWater < WATER_TOLERANCE_FRACTION &&
      worstHeadMm < HEAD_TOLERANCE_MM
    ) {
      return { iterations, topMmPerH, bottomMmPerH, pondMm: newPondMm };
    }
  }
  return null;
}

/** A system in which each unknown meets only its neighbours; the arrays are overwritten. */
interface Tridiagonal {
  below: Float64Array;
  diagonal: Float64Array;
  above: Float64Array;
  right: Float64Array;
  solution: Float64Array;
}

/** Arrays for a system of `size` unknowns. */
export function createTridiagonal(size: number): Tridiagonal {
  return {
    below: new Float64Array(size),
    diagonal: new Float64Array(size),
    above: new Float64Array(size),
    right: new Float64Array(size),
    solution: new Float64Array(size),
  };
}

/** Solves by forward elimination and back substitution (Thomas); for diagonally dominant systems. */
export function solveTridiagonal(system: Tridiagonal): void {
  const { below, diagonal, above, right, solution } = system;
  const last = diagonal.length - 1;
  for (let i = 1; i <= last; i++) {
    const factor = (below[i] as number) / (diagonal[i - 1] as number);
    diagonal[i] = (diagonal[i] as number) - factor * (above[i - 1] as number);
    right[i] = (right[i] as number) - factor * (right[i - 1] as number);
  }
  solution[last] = (right[last] as number) / (diagonal[last] as number);
  for (let i = last - 1; i >= 0; i--) {
    solution[i] =
      ((right[i] as number) - (above[i] as number) * (solution[i + 1] as number)) /
      (diagonal[i] as number);
  }
}
