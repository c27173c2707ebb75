/**
 * Entry `i` of an array of numbers. One that is not there is a fault, never a zero.
 *
 * @throws RangeError when there is no such entry
 */
export function at(array: Float64Array, i: number): number {
  const value = array[i];
  if (value === undefined) noEntry(i, array.length);
  return value;
}

/**
 * The same of a list. Apart from `at`, so that each of the two is compiled for one kind of array.
 *
 * @throws RangeError when there is no such entry
 */
export function entryOf<T>(list: readonly T[], i: number): T {
  const value = list[i];
  if (value === undefined) noEntry(i, list.length);
  return value;
}

function noEntry(i: number, length: number): never {
  throw new RangeError(`entry: no such one (got ${i} of ${length}); ask for one that is there`);
}
