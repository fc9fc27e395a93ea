import {
  columnNorms,
  damped,
  hasFullRank,
  solveTriangle,
  type Triangle,
  triangleOf,
} from './triangle.js';

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
  /** Length of the first step allowed, in lengths of the scaled start; Infinity trusts it at once. */
  readonly firstRadius?: number;
}

/** Below this share of the foretold reduction a step is not taken. */
const LEAST_RATIO = 1e-4;

/**
 * Nonlinear least squares by damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963): each step
 * is damped just enough to stay within a radius that grows and shrinks with the ratio of actual to
 * foretold reduction, lengths scaled by the largest column norms met so far (Moré 1978). Each step
 * solves the augmented system by QR.
 *
 * @param start one value a parameter
 * @returns the best point met and how the iteration ended; it never throws for a bad problem
 */
export function minimise(
  problem: LeastSquaresProblem,
  start: readonly number[] | Float64Array,
  { maxSteps = 2000, tolerance = 1e-14, firstRadius = 1 }: MinimiseOptions = {},
): Minimum {
  let parameters = Float64Array.from(start);
  let residuals = problem.residuals(parameters);
  let sum = sumOfSquares(residuals);
  const end = (ending: Ending, steps: number): Minimum => ({
    parameters,
    residualSumOfSquares: sum,
    ending,
    steps,
  });
  if (!Number.isFinite(sum)) return end('not-finite', 0);
  let jacobian = problem.jacobian(parameters);
  let norms = columnNorms(jacobian, parameters.length);
  let triangle = triangleOf(jacobian, negated(residuals), norms.length, { scale: norms });
  let radius = firstRadius * (scaledLength(parameters, norms) || 1);
  for (let steps = 1; steps <= maxSteps; steps++) {
    if (isFlat(jacobian, residuals, sum, tolerance)) return end('converged-gradient', steps);
    const step = stepWithin(radius, triangle);
    const length = scaledLength(step, norms);
    const next = parameters.map((value, j) => value + step[j]!);
    const nextResiduals = problem.residuals(next);
    const nextSum = sumOfSquares(nextResiduals);
    const foretold = foretoldReduction(jacobian, residuals, step, sum);
    const ratio = Number.isFinite(nextSum) && foretold > 0 ? (sum - nextSum) / foretold : -1;
    radius = nextRadius(steps === 1 ? Math.min(radius, length) : radius, length, ratio);
    // Of a reduction this small rounding decides whether it is met.
    const isSettled = foretold <= tolerance * sum && nextSum <= sum * (1 + tolerance);
    if (ratio > LEAST_RATIO) {
      parameters = next;
      residuals = nextResiduals;
      sum = nextSum;
      if (sum === 0) return end('converged-reduction', steps);
      jacobian = problem.jacobian(parameters);
      const latest = columnNorms(jacobian, parameters.length);
      norms = norms.map((norm, j) => Math.max(norm, latest[j]!));
      triangle = triangleOf(jacobian, negated(residuals), norms.length, { scale: norms });
    }
    if (isSettled) return end('converged-reduction', steps);
    if (length <= tolerance * scaledLength(parameters, norms)) return end('converged-step', steps);
  }
  return end('too-many-steps', maxSteps);
}

function nextRadius(radius: number, length: number, ratio: number): number {
  if (ratio < 0.25) return 0.25 * Math.min(radius, length);
  return ratio > 0.75 ? Math.max(radius, 2 * length) : radius;
}

/** Steps this near the radius, either way, are near enough. */
const SHORTEST = 0.9;
const LONGEST = 1.1;

/** The step of least damping whose scaled length is about the radius, or shorter. */
function stepWithin(radius: number, triangle: Triangle): Float64Array {
  const stepAt = (damping: number) => solveTriangle(damped(triangle, damping));
  if (hasFullRank(triangle)) {
    const undamped = solveTriangle(triangle);
    if (scaledLength(undamped, triangle.scale) <= LONGEST * radius) return undamped;
  }
  const length = (step: Float64Array) => scaledLength(step, triangle.scale);
  let low = 1e-16;
  let step = stepAt(low);
  if (!(length(step) > LONGEST * radius)) return step;
  let high = 1;
  for (;;) {
    step = stepAt(high);
    if (length(step) <= LONGEST * radius || high > 1e30) break;
    low = high;
    high *= 100;
  }
  while (length(step) < SHORTEST * radius && high > low * 1.01) {
    const middle = Math.sqrt(low * high);
    const candidate = stepAt(middle);
    if (length(candidate) > LONGEST * radius) low = middle;
    else {
      high = middle;
      step = candidate;
    }
  }
  return step;
}

function negated(values: ArrayLike<number>): Float64Array {
  const out = new Float64Array(values.length);
  for (let i = 0; i < out.length; i++) out[i] = -values[i]!;
  return out;
}

function scaledLength(values: Float64Array, norms: Float64Array): number {
  let square = 0;
  for (let j = 0; j < values.length; j++) square += (values[j]! * norms[j]!) ** 2;
  return Math.sqrt(square);
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

function sumOfSquares(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i]! ** 2;
  return sum;
}
