import { at as checkedAt } from '../checked-entry.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

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

/**
 * Solves below[i] x[i-1] + diagonal[i] x[i] + above[i] x[i+1] = right[i] by forward elimination and
 * back substitution (Thomas); for diagonally dominant systems.
 */
export function solveTridiagonal(system: Tridiagonal): void {
  const { below, diagonal, above, right, solution } = system;
  const last = diagonal.length - 1;
  for (let i = 1; i <= last; i++) {
    const factor = at(below, i) / at(diagonal, i - 1);
    diagonal[i] = at(diagonal, i) - factor * at(above, i - 1);
    right[i] = at(right, i) - factor * at(right, i - 1);
  }
  solution[last] = at(right, last) / at(diagonal, last);
  for (let i = last - 1; i >= 0; i--) {
    solution[i] = (at(right, i) - at(above, i) * at(solution, i + 1)) / at(diagonal, i);
  }
}
