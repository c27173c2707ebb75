/**
 * Entry `i` of an array of numbers. One that is not there is a fault, never a zero.
 *
 * @throws RangeError when there is no such entry
 */
export function at(array: Float64Array, i: number): number {
  return array[i] ?? noEntry(i, array);
}

/**
 * The same of a list. Apart from `at`, so that each of the two is compiled for one kind of array.
 *
 * @throws RangeError when there is no such entry
 */
export function entryOf<T extends {}>(list: readonly T[], i: number): T {
  return list[i] ?? noEntry(i, list);
}

function noEntry(i: number, { length }: ArrayLike<unknown>): never {
  throw new RangeError(`entry: no such one (got ${i} of ${length}); ask for one that is there`);
}
