/**
 * Values scaled by one factor, none above its cap, so that their mean is the one asked for: what
 * clipping took is given to those that have room.
 *
 * @param values From 0; where all are 0 they stay so, whatever the mean.
 * @param caps One for each value, or one for all; what cannot be reached below them ends at them.
 */
export function scaledToMean(
  values: Float64Array,
  caps: Float64Array | number,
  mean: number,
): Float64Array {
  const capOf = (index: number) => (typeof caps === 'number' ? caps : (caps[index] ?? 0));
  const scaled = new Float64Array(values.length);
  const capped = new Uint8Array(values.length);
  for (let round = 0; round <= values.length; round++) {
    let free = 0;
    let left = mean * values.length;
    values.forEach((value, index) => {
      if (capped[index] === 1) left -= capOf(index);
      else free += value;
    });
    const scale = free > 0 ? Math.max(0, left) / free : 0;
    let changed = false;
    values.forEach((value, index) => {
      if (capped[index] === 1) return;
      const wanted = value * scale;
      if (wanted > capOf(index)) {
        capped[index] = 1;
        changed = true;
      }
      scaled[index] = Math.min(wanted, capOf(index));
    });
    if (!changed) break;
  }
  return scaled;
}
