import { Decomposition, dot } from './decomposition.js';
import { type Ending, minimise } from './levenberg.js';
import { type FitProblem, type Noise, whitenedDesign, whitenedResiduals } from './problem.js';
import { leverages, type Triangle, triangleOf } from './triangle.js';

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
 * @param start from where the damped steps set out; several starts are the caller's business
 */
export function estimate(
  problem: FitProblem,
  kept: readonly number[],
  noise: Noise,
  start: { readonly parameters: Float64Array; readonly sd: number },
): Estimate {
  let { parameters } = start;
  let sd = noise.kind === 'known' ? noise.sd : start.sd;
  const isLinear = kept.every((index) => problem.isLinear(index));
  const near = isLinear ? NOISE_TOLERANCE : BENT_NOISE_TOLERANCE;
  for (let round = 1; ; round++) {
    const weighed = sd;
    const designAt = whitenedDesign(problem, kept, weighed);
    const whitened = {
      residuals: (at: Float64Array) => whitenedResiduals(problem, kept, at, weighed),
      jacobian: designAt,
    };
    const minimum = minimise(whitened, parameters, {
      maxSteps: 60,
      tolerance: FIT_TOLERANCE,
      firstRadius: Infinity,
    });
    parameters = minimum.parameters;
    const design = designAt(parameters);
    const residuals = whitenedResiduals(problem, kept, parameters, sd);
    const triangle = triangleOf(design, residuals, problem.columns);
    const scatter = scatterOf(kept.length, design, residuals, triangle, sd);
    const next = pooledSd(noise, scatter);
    if (Math.abs(next.sd - sd) <= near * sd || round === NOISE_ROUNDS) {
      return {
        parameters,
        kept,
        sd,
        degreesOfFreedom: next.degreesOfFreedom,
        residualSd:
          scatter.freedom > NO_FREEDOM ? Math.sqrt(scatter.squares / scatter.freedom) : null,
        decomposition: new Decomposition(triangle, design.length),
        sumOfSquares: dot(residuals, residuals),
        ending: minimum.ending,
      };
    }
    sd = next.sd;
  }
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
  triangle: Triangle,
  sd: number,
): Scatter {
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
