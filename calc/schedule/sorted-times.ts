/** Place of the first that is not before the value, in a sorted list; its length when none is. */
export function firstNotBefore(sorted: readonly number[], value: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((sorted[middle] ?? 0) < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Puts a time in its place. */
export function addTime(sorted: number[], value: number): void {
  sorted.splice(firstNotBefore(sorted, value), 0, value);
}

/** Takes one of that time out again. */
export function removeTime(sorted: number[], value: number): void {
  const place = firstNotBefore(sorted, value);
  if (sorted[place] === value) sorted.splice(place, 1);
}
