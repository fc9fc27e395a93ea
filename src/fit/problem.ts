import { dot } from './decomposition.js';

/**
 * What the fit sees: numbers that were observed, each with what a model says it should be. All
 * observations share one standard deviation; what is known beforehand comes as rows of its own.
 */
export interface FitProblem {
  readonly columns: number;
  readonly observed: readonly number[];
  readonly priors: readonly Prior[];
  predict(parameters: Float64Array, index: number): number;
  gradient(parameters: Float64Array, index: number): ArrayLike<number>;
  isLinear(index: number): boolean;
}

/** combination · parameters = value ± sd */
export interface Prior {
  readonly combination: ArrayLike<number>;
  readonly value: number;
  readonly sd: number;
}

/**
 * The standard deviation of one observation: known, or a guess worth so many degrees of freedom that
 * the scatter of the observations then corrects. The type decides which quantiles apply.
 */
export type Noise =
  | { readonly kind: 'known'; readonly sd: number }
  | { readonly kind: 'estimated'; readonly guess: number; readonly guessDegreesOfFreedom: number };

/** The standard deviation before any observation has been looked at. */
export function initialSd(noise: Noise): number {
  return noise.kind === 'known' ? noise.sd : noise.guess;
}

/** Kept observations and priors as rows whitened to unit variance. */
export interface WhitenedRows {
  /** Predicted less observed of each kept observation, then of each prior. */
  residuals(parameters: Float64Array): number[];
  /** Their derivatives by each parameter, a row each. */
  design(parameters: Float64Array): Float64Array[];
}

/** Whitens kept observations by their standard deviation, priors by their own. */
export function whitenedRows(
  problem: FitProblem,
  kept: readonly number[],
  sd: number,
): WhitenedRows {
  const whiten = (parameters: Float64Array, index: number) =>
    scaled(problem.gradient(parameters, index), 1 / sd);
  const rest = new Float64Array(problem.columns);
  // Rows that do not depend on the parameters are made once.
  const fixed = kept.map((index) => (problem.isLinear(index) ? whiten(rest, index) : null));
  const priors = problem.priors.map((prior) => scaled(prior.combination, 1 / prior.sd));
  return {
    residuals: (parameters) => [
      ...kept.map((index) => (problem.predict(parameters, index) - problem.observed[index]!) / sd),
      ...problem.priors.map(
        (prior) => (dot(prior.combination, parameters) - prior.value) / prior.sd,
      ),
    ],
    design: (parameters) => [
      ...kept.map((index, i) => fixed[i] ?? whiten(parameters, index)),
      ...priors,
    ],
  };
}

function scaled(values: ArrayLike<number>, factor: number): Float64Array {
  // A plain loop: `Float64Array.from` with a function is many times slower, and this is the hot path.
  const out = new Float64Array(values.length);
  for (let j = 0; j < out.length; j++) out[j] = values[j]! * factor;
  return out;
}
