import { Decomposition, dot } from './decomposition.js';
import { solveTriangle, triangleOf } from './triangle.js';

export interface LinearSolution {
  readonly solution: Float64Array;
  readonly rank: number;
  readonly residualSumOfSquares: number;
  /**
   * Covariance for residuals of unit variance, columns × columns; null when the rank is missing,
   * since some variance is then without bound. Multiply by s² or whiten the rows.
   */
  unscaledCovariance(): number[][] | null;
}

/**
 * Linear least squares: minimise |design · p − rhs|² by a column-scaled Householder QR; rank from
 * the singular values of the scaled triangle.
 *
 * @param design rows × columns
 * @param rhs one value a row
 */
export function solveLinear(
  design: readonly ArrayLike<number>[],
  rhs: readonly number[],
): LinearSolution {
  const columns = design[0]?.length ?? 0;
  const triangle = triangleOf(design, rhs, columns);
  const decomposition = new Decomposition(triangle, design.length);
  const solution =
    decomposition.rank === columns
      ? refined(design, rhs, solveTriangle(triangle))
      : decomposition.solution();
  return {
    solution,
    rank: decomposition.rank,
    residualSumOfSquares: design.reduce(
      (sum, row, i) => sum + (rhs[i]! - dot(row, solution)) ** 2,
      0,
    ),
    unscaledCovariance: () => {
      if (decomposition.rank < columns) return null;
      const factors = Array.from({ length: columns }, (_, j) =>
        decomposition.factor(unit(j, columns)),
      );
      return factors.map((a) => factors.map((b) => dot(a, b)));
    },
  };
}

/** One step of iterative refinement: what rounding left of the residuals is solved for once more. */
function refined(
  design: readonly ArrayLike<number>[],
  rhs: readonly number[],
  solution: Float64Array,
): Float64Array {
  const left = design.map((row, i) => rhs[i]! - dot(row, solution));
  const correction = solveTriangle(triangleOf(design, left, solution.length));
  return solution.map((value, j) => value + correction[j]!);
}

function unit(j: number, columns: number): number[] {
  return Array.from({ length: columns }, (_, i) => (i === j ? 1 : 0));
}
