import { entryOf } from '../checked-entry.ts';

/** Beginnings of the sequence that are tried: the one whose numbers hang together least is taken. */
const STARTS = 200;

/**
 * Points spread evenly over a unit cube: in each dimension every one of `count` equal strata holds one
 * point (a Latin hypercube). Which strata meet follows from the ranks in the additive recurrence
 * i g^-(k+1) modulo 1, g the root of g^(d+1) = g + 1, begun where the ranks of no two dimensions are
 * much correlated.
 *
 * @param count how many points, at least 2
 * @param dimensions numbers that a point has
 * @param withinFraction where in its strata a point lies, 0 to below 1; the middle when left out
 * Source: McKay, Beckman & Conover 1979, Technometrics 21:239-245; Roberts 2018 for the recurrence
 *   (both from memory).
 */
export function stratified(count: number, dimensions: number, withinFraction = 0.5): number[][] {
  let g = 2;
  for (let turn = 0; turn < 60; turn++) g = (1 + g) ** (1 / (dimensions + 1));
  let best: number[][] = [];
  let least = Number.POSITIVE_INFINITY;
  for (let start = 1; start <= STARTS; start++) {
    const columns = Array.from({ length: dimensions }, (_, k) =>
      ranks(Array.from({ length: count }, (_, i) => ((start + i) / g ** (k + 1)) % 1)),
    );
    const correlation = greatestCorrelation(columns);
    if (correlation >= least) continue;
    least = correlation;
    best = columns;
  }
  return Array.from({ length: count }, (_, i) =>
    best.map((column) => (entryOf(column, i) + withinFraction) / count),
  );
}

function ranks(values: readonly number[]): number[] {
  const order = values.map((_, i) => i).sort((a, b) => entryOf(values, a) - entryOf(values, b));
  const ranked = new Array<number>(values.length).fill(0);
  for (const [rank, i] of order.entries()) ranked[i] = rank;
  return ranked;
}

/** Greatest correlation of two columns of ranks, whatever its sign. */
function greatestCorrelation(columns: readonly number[][]): number {
  let greatest = 0;
  for (const [k, a] of columns.entries()) {
    const middle = (a.length - 1) / 2;
    const spread = a.reduce((sum, rank) => sum + (rank - middle) ** 2, 0);
    for (const b of columns.slice(0, k)) {
      const shared = a.reduce(
        (sum, rank, i) => sum + (rank - middle) * (entryOf(b, i) - middle),
        0,
      );
      greatest = Math.max(greatest, Math.abs(shared / spread));
    }
  }
  return greatest;
}
