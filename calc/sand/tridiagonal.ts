/** A system in which each unknown meets only its neighbours; the arrays are overwritten. */
export interface Tridiagonal {
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
