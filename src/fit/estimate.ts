import { Decomposition, dot } from './decomposition.js';
import { type Ending, minimise } from './levenberg.js';
import {
  type FitProblem,
  initialSd,
  type Noise,
  whitenedDesign,
  whitenedResiduals,
} from './problem.js';

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
  /** The whitened rows at the solution, taken apart. */
  readonly decomposition: Decomposition;
  /** Sum of squares of all whitened residuals, priors among them. */
  readonly sumOfSquares: number;
  readonly ending: Ending;
}

/** The noise settles within a few rounds, since it only weighs observations against priors. */
const NOISE_ROUNDS = 6;
const NOISE_TOLERANCE = 1e-7;
/** Relative size of a step that counts as none: a fraction of a nanometre in a board's thickness. */
const FIT_TOLERANCE = 1e-10;
/** So little left to scatter counts as nothing. */
const NO_FREEDOM = 1e-6;

/**
 * Weighted nonlinear least squares of the kept observations and the priors, and the noise with it:
 * sd² = (ν₀·guess² + SS)/(ν₀ + ν), where SS and ν are the observations' alone.
 *
 * @param start from where the damped steps set out; several starts are the caller's business
 */
export function estimate(
  problem: FitProblem,
  kept: readonly number[],
  noise: Noise,
  start: Float64Array,
): Estimate {
  let sd = initialSd(noise);
  let parameters = start;
  for (let round = 1; ; round++) {
    const minimum = minimise(whitened(problem, kept, sd), parameters, {
      maxSteps: 200,
      tolerance: FIT_TOLERANCE,
      firstRadius: Infinity,
    });
    parameters = minimum.parameters;
    const design = whitenedDesign(problem, kept, parameters, sd);
    const residuals = whitenedResiduals(problem, kept, parameters, sd);
    const decomposition = Decomposition.of(design, problem.columns);
    const scatter = scatterOf(kept.length, design, residuals, decomposition, sd);
    const next = pooledSd(noise, scatter);
    const settled = Math.abs(next.sd - sd) <= NOISE_TOLERANCE * sd || round === NOISE_ROUNDS;
    if (settled) {
      return {
        parameters,
        kept,
        sd,
        degreesOfFreedom: next.degreesOfFreedom,
        residualSd:
          scatter.freedom > NO_FREEDOM ? Math.sqrt(scatter.squares / scatter.freedom) : null,
        decomposition,
        sumOfSquares: dot(residuals, residuals),
        ending: minimum.ending,
      };
    }
    sd = next.sd;
  }
}

function whitened(problem: FitProblem, kept: readonly number[], sd: number) {
  return {
    residuals: (parameters: Float64Array) => whitenedResiduals(problem, kept, parameters, sd),
    jacobian: (parameters: Float64Array) => whitenedDesign(problem, kept, parameters, sd),
  };
}

interface Scatter {
  readonly squares: number;
  readonly freedom: number;
}

/** The observations' own sum of squares, and the degrees of freedom that the fit left them. */
function scatterOf(
  count: number,
  design: readonly Float64Array[],
  residuals: readonly number[],
  decomposition: Decomposition,
  sd: number,
): Scatter {
  let squares = 0;
  let freedom = 0;
  for (let i = 0; i < count; i++) {
    const factor = decomposition.factor(design[i]!);
    squares += (residuals[i]! * sd) ** 2;
    freedom += 1 - dot(factor, factor);
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
