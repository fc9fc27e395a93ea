import { Decomposition, dot } from './decomposition.js';
import { type Ending, type LeastSquaresProblem, type Minimum, minimise } from './levenberg.js';
import { type FitProblem, initialSd, type Noise, whitenedRows } from './problem.js';
import { compressedRows, leverages, type Triangle, triangleOf } from './triangle.js';

/** A fit of kept observations: parameters, noise, and what the covariance rests on. */
export interface Estimate {
  readonly parameters: Float64Array;
  readonly kept: readonly number[];
  /** Standard deviation of one observation, guess and scatter together. */
  readonly sd: number;
  /** Those of `sd`: what Student's t takes; Infinity when the noise is known. */
  readonly degreesOfFreedom: number;
  /** Standard deviation of the residuals alone; null when nothing is left to scatter. */
  readonly residualSd: number | null;
  /** The whitened rows at the solution. */
  readonly decomposition: Decomposition;
  /** Sum of squares of all whitened residuals, priors among them. */
  readonly sumOfSquares: number;
  readonly ending: Ending;
}

/** The noise only weighs observations against priors, so it settles within a few rounds. */
const NOISE_ROUNDS = 4;
const NOISE_TOLERANCE = 1e-7;
/** Where observations bend, this is as near as their weights matter. */
const BENT_NOISE_TOLERANCE = 0.01;
/** Relative size of a step that counts as none: nanometres in a board's thickness. */
const FIT_TOLERANCE = 1e-7;
/** So little left to scatter counts as nothing. */
const NO_FREEDOM = 1e-6;

/**
 * Weighted nonlinear least squares of the kept observations and the priors, and the noise with it:
 * sd² = (ν₀·guess² + SS)/(ν₀ + ν), where SS and ν are the observations' alone.
 *
 * @param starts from where the damped steps set out; the lowest minimum they reach is gone on with
 * @param firstSd the noise to begin with; what `noise` says of it when not given
 */
export function estimate(
  problem: FitProblem,
  kept: readonly number[],
  noise: Noise,
  starts: readonly Float64Array[],
  firstSd = initialSd(noise),
): Estimate {
  let sd = firstSd;
  let from = starts;
  const isLinear = kept.every((index) => problem.isLinear(index));
  const near = isLinear ? NOISE_TOLERANCE : BENT_NOISE_TOLERANCE;
  for (let round = 1; ; round++) {
    const minimum = lowestMinimum(problem, kept, sd, from);
    const { parameters } = minimum;
    from = [parameters];
    const scatter = scatterOf(kept.length, systemAt(problem, kept, sd, parameters), sd);
    const next = pooledSd(noise, scatter);
    if (Math.abs(next.sd - sd) > near * sd && round < NOISE_ROUNDS) {
      sd = next.sd;
      continue;
    }
    const { design, residuals, triangle } = systemAt(problem, kept, next.sd, parameters);
    return {
      parameters,
      kept,
      sd: next.sd,
      degreesOfFreedom: next.degreesOfFreedom,
      residualSd:
        scatter.freedom > NO_FREEDOM ? Math.sqrt(scatter.squares / scatter.freedom) : null,
      decomposition: new Decomposition(triangle, design.length),
      sumOfSquares: dot(residuals, residuals),
      ending: minimum.ending,
    };
  }
}

function lowestMinimum(
  problem: FitProblem,
  kept: readonly number[],
  sd: number,
  starts: readonly Float64Array[],
): Minimum {
  const steps = compressed(problem, kept, sd, starts[0]!);
  const options = { maxSteps: 60, tolerance: FIT_TOLERANCE, firstRadius: Infinity };
  return starts
    .map((start) => minimise(steps, start, options))
    .reduce((a, b) => (b.residualSumOfSquares < a.residualSumOfSquares ? b : a));
}

/**
 * The problem for the damped steps: all linear rows compressed into one triangle, since their
 * number does not matter from one step to the next, then the rows that bend.
 */
function compressed(
  problem: FitProblem,
  kept: readonly number[],
  sd: number,
  from: Float64Array,
): LeastSquaresProblem {
  const linear = kept.filter((index) => problem.isLinear(index));
  const bent = kept.filter((index) => !problem.isLinear(index));
  const { triangle } = systemAt(problem, linear, sd, from);
  const upper = compressedRows(triangle);
  const bending = whitenedRows({ ...problem, priors: [] }, bent, sd);
  return {
    residuals: (at) => {
      const moved = at.map((value, j) => value - from[j]!);
      const out = upper.map((row, i) => dot(row, moved) + triangle.rhs[i]!);
      return [...out, ...bending.residuals(at)];
    },
    jacobian: (at) => [...upper, ...bending.design(at)],
  };
}

interface System {
  readonly design: readonly Float64Array[];
  readonly residuals: readonly number[];
  readonly triangle: Triangle;
}

/** The whitened rows at given parameters, and their triangle. */
function systemAt(
  problem: FitProblem,
  kept: readonly number[],
  sd: number,
  parameters: Float64Array,
): System {
  const rows = whitenedRows(problem, kept, sd);
  const design = rows.design(parameters);
  const residuals = rows.residuals(parameters);
  return { design, residuals, triangle: triangleOf(design, residuals, problem.columns) };
}

interface Scatter {
  readonly squares: number;
  readonly freedom: number;
}

/** The observations' own sum of squares, and the degrees of freedom that the fit left them. */
function scatterOf(count: number, { design, residuals, triangle }: System, sd: number): Scatter {
  const leverageOf = leverages(triangle);
  let squares = 0;
  let freedom = 0;
  for (let i = 0; i < count; i++) {
    squares += (residuals[i]! * sd) ** 2;
    freedom += 1 - leverageOf(design[i]!);
  }
  return { squares, freedom: Math.max(0, freedom) };
}

function pooledSd(noise: Noise, scatter: Scatter): { sd: number; degreesOfFreedom: number } {
  if (noise.kind === 'known') return { sd: noise.sd, degreesOfFreedom: Infinity };
  const degreesOfFreedom = noise.guessDegreesOfFreedom + scatter.freedom;
  const squares = noise.guessDegreesOfFreedom * noise.guess ** 2 + scatter.squares;
  return { sd: Math.sqrt(squares / degreesOfFreedom), degreesOfFreedom };
}

/** The share of an observation's variance that the fit takes up: 0 when far from it, 1 when it alone decides. */
export function leverage(problem: FitProblem, fit: Estimate, index: number): number {
  const gradient = problem.gradient(fit.parameters, index);
  const factor = fit.decomposition.factor(gradient);
  return dot(factor, factor) / fit.sd ** 2;
}

/** Observed less predicted. */
export function residual(problem: FitProblem, parameters: Float64Array, index: number): number {
  return problem.observed[index]! - problem.predict(parameters, index);
}
