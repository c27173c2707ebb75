import { entryOf } from '../checked-entry.ts';

/** A problem of least squares: residuals of parameters that stay between bounds. */
export interface LeastSquares {
  residuals(values: readonly number[]): number[];
  start: readonly number[];
  lower: readonly number[];
  upper: readonly number[];
  iterations: number;
  /** Change of a parameter, in parts of its size, from which slopes are taken. */
  differenceFraction: number;
  /** True: slopes from one side, for residuals that are dear. From both when left out. */
  isOneSided?: boolean;
}

export interface LeastSquaresResult {
  values: number[];
  /** Sum of the squared residuals. */
  cost: number;
}

/** r . r */
function costOf(residuals: readonly number[]): number {
  let sum = 0;
  for (const residual of residuals) sum += residual * residual;
  return sum;
}

/** Solves A x = b by elimination with the greatest pivot of each column. */
function solveDense(matrix: readonly number[][], right: readonly number[]): number[] {
  const size = right.length;
  const rows = matrix.map((row, i) => [...row, entryOf(right, i)]);
  const valueAt = (k: number, j: number) => entryOf(entryOf(rows, k), j);
  for (let i = 0; i < size; i++) {
    let pivot = i;
    for (let k = i + 1; k < size; k++) {
      if (Math.abs(valueAt(k, i)) > Math.abs(valueAt(pivot, i))) pivot = k;
    }
    const top = entryOf(rows, pivot);
    rows[pivot] = entryOf(rows, i);
    rows[i] = top;
    for (let k = i + 1; k < size; k++) {
      const row = entryOf(rows, k);
      const factor = entryOf(row, i) / entryOf(top, i);
      for (let j = i; j <= size; j++) row[j] = entryOf(row, j) - factor * entryOf(top, j);
    }
  }
  const solution = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    let sum = valueAt(i, size);
    for (let j = i + 1; j < size; j++) sum -= valueAt(i, j) * entryOf(solution, j);
    solution[i] = sum / valueAt(i, i);
  }
  return solution;
}

/** Most that a parameter may change in one step. */
const LONGEST_STEP = 1;
/** What the damping is lowered by after a step that helped, and raised by after one that did not. */
const LOWERED_BY = 5;
const RAISED_BY = 4;

/**
 * Levenberg-Marquardt with bounds, differences from both sides or one, and steps of at most 1 in any parameter: for
 * problems whose parameters are logarithms and exponents, which a longer step throws out of sight.
 * With the residuals r(p) and their slopes J[k][j] = dr[k]/dp[j], each step solves
 *
 *     (J'J + lambda diag(J'J) + (1e-9 + 1e-4 lambda) I) delta = -J'r
 *
 * for the damping lambda, and is taken where it lowers r . r. The last term keeps a parameter that
 * nothing depends on from moving.
 *
 * Source: Marquardt 1963, J. Soc. Indust. Appl. Math. 11:431-441.
 */
export function fitLeastSquares(problem: LeastSquares): LeastSquaresResult {
  const { lower, upper, differenceFraction, isOneSided = false } = problem;
  const bound = (value: number, j: number) =>
    Math.min(entryOf(upper, j), Math.max(entryOf(lower, j), value));
  let p = problem.start.map(bound);
  let r = problem.residuals(p);
  let cost = costOf(r);
  let lambda = 0.01;
  let idle = 0;
  for (let iteration = 0; iteration < problem.iterations && idle < 2; iteration++) {
    // Columns of J: the slopes of all residuals by one parameter.
    const J = p.map((value, j) => {
      const step = differenceFraction * Math.max(1, 0.3 * Math.abs(value));
      const [up, down] = [bound(value + step, j), bound(value - step, j)];
      if (isOneSided) {
        const there = up > value ? up : down;
        return problem
          .residuals(p.with(j, there))
          .map((residual, k) => (residual - entryOf(r, k)) / (there - value));
      }
      const above = problem.residuals(p.with(j, up));
      const beneath = problem.residuals(p.with(j, down));
      const width = up - down;
      return above.map((residual, k) => (residual - entryOf(beneath, k)) / width);
    });
    const dot = (a: readonly number[], b: readonly number[]) =>
      a.reduce((sum, value, k) => sum + value * entryOf(b, k), 0);
    const JtJ = J.map((a) => J.map((b) => dot(a, b)));
    const descent = J.map((a) => -dot(a, r));
    const before = cost;
    for (let attempt = 0; attempt < 8; attempt++) {
      const damped = JtJ.map((row, i) =>
        row.map((entry, j) => (i === j ? entry * (1 + lambda) + 1e-9 + lambda * 1e-4 : entry)),
      );
      const delta = solveDense(damped, descent);
      const tried = p.map((value, j) =>
        bound(value + Math.max(-LONGEST_STEP, Math.min(LONGEST_STEP, entryOf(delta, j))), j),
      );
      const triedResiduals = problem.residuals(tried);
      const triedCost = costOf(triedResiduals);
      if (triedCost < cost) {
        p = tried;
        r = triedResiduals;
        cost = triedCost;
        lambda = Math.max(lambda / LOWERED_BY, 1e-8);
        break;
      }
      lambda *= RAISED_BY;
    }
    if (cost === before || p.length === 0) break;
    idle = before - cost < 1e-3 * before ? idle + 1 : 0;
  }
  return { values: p, cost };
}
