/** The part of 1 by which one member after the other steps, so that any few in a row lie apart. */
const GOLDEN_FRACTION = 0.618_033_988_749_894_9;

/**
 * Evenly spread position of a member within 0 to below 1: neighbours lie far apart, and any run of
 * members covers the range.
 */
export function spreadFraction(member: number): number {
  return ((member + 1) * GOLDEN_FRACTION) % 1;
}

/**
 * Of many draws, as many members as asked for, each of the same weight, such that their spread is
 * that of the draws: one from each stratum of what comes first, and within the strata evenly over
 * what comes later.
 *
 * @param first Amount of each draw in the nearer stretch: the strata follow it.
 * @param later Amount of the same draws in what comes after.
 * @param count Members, at least 1 and at most the draws.
 * @returns Indexes of draws, the one with the least of `first` first.
 *
 * Source: stratified sampling with a second, quasi-random dimension (Latin hypercubes: McKay and
 * others 1979; the golden ratio's sequence is common practice).
 */
export function selectedDraws(
  { first, later }: { first: Float64Array; later: Float64Array },
  count: number,
): number[] {
  if (!(Number.isInteger(count) && count >= 1 && count <= first.length)) {
    throw new RangeError(
      `selectedDraws: no such number of members (got ${count} of ${first.length}); give 1 up to the number of draws`,
    );
  }
  const by = (amounts: Float64Array) => (a: number, b: number) =>
    (amounts[a] ?? 0) - (amounts[b] ?? 0) || a - b;
  const sorted = Array.from(first.keys()).sort(by(first));
  return Array.from({ length: count }, (_, member) => {
    const from = Math.round((member * sorted.length) / count);
    const to = Math.round(((member + 1) * sorted.length) / count);
    const stratum = sorted.slice(from, to).sort(by(later));
    const chosen = stratum[Math.floor(spreadFraction(member) * stratum.length)];
    return chosen ?? from;
  });
}
