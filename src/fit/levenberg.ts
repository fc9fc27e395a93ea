import { Matrix, QrDecomposition } from 'ml-matrix';

/** What the solver sees of a problem: numbers in, numbers out. */
export interface LeastSquaresProblem {
  /** One residual a row at the parameters; may be not finite outside the model's range. */
  residuals(parameters: Float64Array): ArrayLike<number>;
  /** Derivative of each residual by each parameter, rows × parameters. */
  jacobian(parameters: Float64Array): readonly ArrayLike<number>[];
}

/** Every way in which the iteration can end. */
export type Ending =
  | 'converged-gradient'
  | 'converged-step'
  | 'converged-reduction'
  | 'too-many-steps'
  | 'not-finite';

export interface Minimum {
  readonly parameters: Float64Array;
  readonly residualSumOfSquares: number;
  readonly ending: Ending;
  readonly steps: number;
}

export interface MinimiseOptions {
  /** At most so many steps, accepted or not. */
  readonly maxSteps?: number;
  /** Relative size of a step, or of a reduction, that counts as none. */
  readonly tolerance?: number;
  /** Damping of the first step. */
  readonly damping?: number;
}

/**
 * Nonlinear least squares by damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963), damping
 * scaled by the largest column norms met so far (Moré 1978) and steered by the ratio of actual to
 * foretold reduction (Nielsen 1999). Each step solves the augmented system by QR.
 *
 * @param start one value a parameter
 * @returns the best point met and how the iteration ended; it never throws for a bad problem
 */
export function minimise(
  problem: LeastSquaresProblem,
  start: readonly number[] | Float64Array,
  options: MinimiseOptions = {},
): Minimum {
  const { maxSteps = 2000, tolerance = 1e-14 } = options;
  let parameters = Float64Array.from(start);
  let residuals = problem.residuals(parameters);
  let sum = sumOfSquares(residuals);
  if (!Number.isFinite(sum)) return ended(parameters, sum, 'not-finite', 0);
  let jacobian = problem.jacobian(parameters);
  let norms = columnNorms(jacobian, parameters.length);
  let damping = options.damping ?? 1e-3;
  let growth = 2;
  for (let steps = 1; steps <= maxSteps; steps++) {
    if (isFlat(jacobian, residuals, sum, tolerance)) {
      return ended(parameters, sum, 'converged-gradient', steps);
    }
    const step = dampedStep(jacobian, residuals, norms, damping);
    const next = parameters.map((value, j) => value + step[j]!);
    const nextResiduals = problem.residuals(next);
    const nextSum = sumOfSquares(nextResiduals);
    const foretold = foretoldReduction(jacobian, residuals, step, sum);
    const ratio = Number.isFinite(nextSum) && foretold > 0 ? (sum - nextSum) / foretold : -1;
    const small = relativeSize(step, parameters, norms) < tolerance;
    if (ratio > 0) {
      const reduction = (sum - nextSum) / sum;
      parameters = next;
      residuals = nextResiduals;
      sum = nextSum;
      damping *= Math.max(1 / 3, 1 - (2 * ratio - 1) ** 3);
      growth = 2;
      if (sum === 0 || (reduction < tolerance && foretold < tolerance * sum)) {
        return ended(parameters, sum, 'converged-reduction', steps);
      }
      jacobian = problem.jacobian(parameters);
      const latest = columnNorms(jacobian, parameters.length);
      norms = norms.map((norm, j) => Math.max(norm, latest[j]!));
    } else {
      damping *= growth;
      growth *= 2;
    }
    if (small) return ended(parameters, sum, 'converged-step', steps);
  }
  return ended(parameters, sum, 'too-many-steps', maxSteps);
}

function ended(parameters: Float64Array, sum: number, ending: Ending, steps: number): Minimum {
  return { parameters, residualSumOfSquares: sum, ending, steps };
}

/** The step s that minimises |J s + r|² + damping · |D s|², by QR of the augmented rows. */
export function dampedStep(
  jacobian: readonly ArrayLike<number>[],
  residuals: ArrayLike<number>,
  norms: Float64Array,
  damping: number,
): Float64Array {
  const columns = norms.length;
  const rows = jacobian.length;
  const augmented = Matrix.zeros(rows + columns, columns);
  const rhs = Matrix.zeros(rows + columns, 1);
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j < columns; j++) augmented.set(i, j, jacobian[i]![j]! / norms[j]!);
    rhs.set(i, 0, -residuals[i]!);
  }
  for (let j = 0; j < columns; j++) augmented.set(rows + j, j, Math.sqrt(damping));
  const scaled = new QrDecomposition(augmented).solve(rhs);
  return Float64Array.from(norms, (norm, j) => scaled.get(j, 0) / norm);
}

function foretoldReduction(
  jacobian: readonly ArrayLike<number>[],
  residuals: ArrayLike<number>,
  step: Float64Array,
  sum: number,
): number {
  let after = 0;
  jacobian.forEach((row, i) => {
    let value = residuals[i]!;
    for (let j = 0; j < step.length; j++) value += row[j]! * step[j]!;
    after += value ** 2;
  });
  return sum - after;
}

/** Whether the residuals stand at right angles to every column, as at a minimum. */
function isFlat(
  jacobian: readonly ArrayLike<number>[],
  residuals: ArrayLike<number>,
  sum: number,
  tolerance: number,
): boolean {
  if (sum === 0) return true;
  const columns = jacobian[0]?.length ?? 0;
  for (let j = 0; j < columns; j++) {
    let along = 0;
    let norm = 0;
    jacobian.forEach((row, i) => {
      along += row[j]! * residuals[i]!;
      norm += row[j]! ** 2;
    });
    if (Math.abs(along) > tolerance * Math.sqrt(norm * sum)) return false;
  }
  return true;
}

function relativeSize(step: Float64Array, parameters: Float64Array, norms: Float64Array): number {
  let moved = 0;
  let size = 0;
  norms.forEach((norm, j) => {
    moved += (norm * step[j]!) ** 2;
    size += (norm * parameters[j]!) ** 2;
  });
  return Math.sqrt(moved / (size || 1));
}

/** Length of each column; 1 for a column of zeros. */
export function columnNorms(jacobian: readonly ArrayLike<number>[], columns: number): Float64Array {
  const squares = new Float64Array(columns);
  for (const row of jacobian) for (let j = 0; j < columns; j++) squares[j]! += row[j]! ** 2;
  return squares.map((square) => (square === 0 ? 1 : Math.sqrt(square)));
}

function sumOfSquares(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i]! ** 2;
  return sum;
}
