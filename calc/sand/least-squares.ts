/** A problem of least squares: residuals of parameters that stay between bounds. */
export interface LeastSquares {
  residuals(values: readonly number[]): number[];
  start: readonly number[];
  lower: readonly number[];
  upper: readonly number[];
  iterations: number;
  /** Change of a parameter, in parts of its size, from which slopes are taken. */
  differenceFraction: number;
}

export interface LeastSquaresResult {
  values: number[];
  /** Sum of the squared residuals. */
  cost: number;
}

function costOf(residuals: readonly number[]): number {
  let sum = 0;
  for (const residual of residuals) sum += residual * residual;
  return sum;
}

function solveDense(matrix: number[][], right: number[]): number[] {
  const size = right.length;
  const rows = matrix.map((row, i) => [...row, right[i] as number]);
  for (let i = 0; i < size; i++) {
    let pivot = i;
    for (let k = i + 1; k < size; k++) {
      if (Math.abs(rows[k]?.[i] ?? 0) > Math.abs(rows[pivot]?.[i] ?? 0)) pivot = k;
    }
    const top = rows[pivot] as number[];
    rows[pivot] = rows[i] as number[];
    rows[i] = top;
    for (let k = i + 1; k < size; k++) {
      const row = rows[k] as number[];
      const factor = (row[i] as number) / (top[i] as number);
      for (let j = i; j <= size; j++) row[j] = (row[j] as number) - factor * (top[j] as number);
    }
  }
  const solution = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    const row = rows[i] as number[];
    let sum = row[size] as number;
    for (let j = i + 1; j < size; j++) sum -= (row[j] as number) * (solution[j] as number);
    solution[i] = sum / (row[i] as number);
  }
  return solution;
}

/**
 * Levenberg-Marquardt with bounds, central differences and steps of at most 1 in any parameter: for
 * problems whose parameters are logarithms and exponents, which a longer step throws out of sight.
 *
 * Source: Marquardt 1963, J. Soc. Indust. Appl. Math. 11:431-441.
 */
export function fitLeastSquares(problem: LeastSquares): LeastSquaresResult {
  const { lower, upper, differenceFraction } = problem;
  const bound = (value: number, j: number) =>
    Math.min(upper[j] as number, Math.max(lower[j] as number, value));
  let values = problem.start.map(bound);
  let residuals = problem.residuals(values);
  let cost = costOf(residuals);
  let damping = 0.01;
  const size = values.length;
  let idle = 0;
  for (let iteration = 0; iteration < problem.iterations && idle < 2; iteration++) {
    const slopes = values.map((value, j) => {
      const step = differenceFraction * Math.max(1, 0.3 * Math.abs(value));
      const up = [...values];
      const down = [...values];
      up[j] = bound(value + step, j);
      down[j] = bound(value - step, j);
      const above = problem.residuals(up);
      const beneath = problem.residuals(down);
      const width = (up[j] as number) - (down[j] as number);
      return above.map((residual, k) => (residual - (beneath[k] as number)) / width);
    });
    const dot = (a: readonly number[], b: readonly number[]) =>
      a.reduce((sum, value, k) => sum + value * (b[k] as number), 0);
    const normal = slopes.map((a) => slopes.map((b) => dot(a, b)));
    const gradient = slopes.map((a) => -dot(a, residuals));
    const before = cost;
    for (let attempt = 0; attempt < 8; attempt++) {
      const damped = normal.map((row, i) =>
        row.map((entry, j) => (i === j ? entry * (1 + damping) + 1e-9 + damping * 1e-4 : entry)),
      );
      const change = solveDense(damped, gradient);
      const tried = values.map((value, j) =>
        bound(value + Math.max(-1, Math.min(1, change[j] as number)), j),
      );
      const triedResiduals = problem.residuals(tried);
      const triedCost = costOf(triedResiduals);
      if (triedCost < cost) {
        values = tried;
        residuals = triedResiduals;
        cost = triedCost;
        damping = Math.max(damping / 5, 1e-8);
        break;
      }
      damping *= 4;
    }
    if (cost === before || size === 0) break;
    idle = before - cost < 1e-3 * before ? idle + 1 : 0;
  }
  return { values, cost };
}
