import { at as checkedAt } from '../checked-entry.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/**
 * Quantiles of weighted values, by straight lines between the middles of their weights.
 *
 * With the values in order and their weights w adding up to 1, value i stands at the probability
 * `w[1] + .. + w[i-1] + w[i]/2`; below the first and above the last the quantile is that value. Equal
 * weights give Hazen's plotting position (i - 1/2) / n.
 *
 * @param values one or more, in any order
 * @param weights as many, above 0; their sum need not be 1
 * @param probabilities 0 to 1, ascending
 * @param out gets one quantile for each probability
 * Source: Hazen 1914, Trans. ASCE 77:1539-1640 (plotting position, from memory); weights as in
 *   Cohen 1984 and common use.
 */
export function weightedQuantiles(
  values: Float64Array,
  weights: Float64Array,
  probabilities: readonly number[],
  out: Float64Array,
): void {
  const n = values.length;
  const order = orderOf(values);
  let total = 0;
  for (let i = 0; i < n; i++) total += at(weights, i);
  let asked = 0;
  let below = 0;
  let beforeValue = 0;
  let beforeAt = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < n && asked < probabilities.length; i++) {
    const index = order[i] ?? 0;
    const value = at(values, index);
    const weight = at(weights, index) / total;
    const middle = below + weight / 2;
    for (let p = probabilities[asked]; p !== undefined && p <= middle; p = probabilities[asked]) {
      out[asked++] =
        i === 0
          ? value
          : beforeValue + ((value - beforeValue) * (p - beforeAt)) / (middle - beforeAt);
    }
    below += weight;
    beforeValue = value;
    beforeAt = middle;
  }
  while (asked < probabilities.length) out[asked++] = beforeValue;
}

const orders = new Map<number, Uint16Array>();

/** Indices of the values from the least to the greatest; good until the next call. */
function orderOf(values: Float64Array): Uint16Array {
  const n = values.length;
  let order = orders.get(n);
  if (order === undefined) {
    order = Uint16Array.from({ length: n }, (_, i) => i);
    orders.set(n, order);
  }
  // From one step of a day to the next the order hardly changes: insertion is quick then.
  for (let i = 1; i < n; i++) {
    const index = order[i] ?? 0;
    const value = at(values, index);
    let j = i - 1;
    for (; j >= 0; j--) {
      const other = order[j] ?? 0;
      const otherValue = at(values, other);
      // Of equal values the first comes first, whatever order was left by the call before.
      if (otherValue < value || (otherValue === value && other < index)) break;
      order[j + 1] = other;
    }
    order[j + 1] = index;
  }
  return order;
}
