import { at as checkedAt } from '../checked-entry.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

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
    const spacing = at(depthMm, i + 1) - at(depthMm, i);
    if (!(spacing > 0)) {
      throw new RangeError(
        `gridFromDepths: depths must increase (got a step of ${spacing} mm after node ${i}); sort them`,
      );
    }
    spacingMm[i] = spacing;
    widthMm[i] = at(widthMm, i) + spacing / 2;
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
