import { dot } from './decomposition.js';

/**
 * What the fit sees: numbers that were observed, each with what a model says it should be. The
 * observations are of one kind or of several, each kind with a standard deviation of its own; what is
 * known beforehand comes as rows of its own.
 */
export interface FitProblem {
  readonly columns: number;
  readonly observed: readonly number[];
  /** The kind of each observation, counted from 0; all of kind 0 where not given. */
  readonly kinds?: ArrayLike<number>;
  /** Standard deviation of each observation in units of its kind's; 1 where not given. */
  readonly scales?: ArrayLike<number>;
  /**
   * Observations that share a parameter which no other depends on have the same group; null for the
   * rest. Absent where there are none.
   */
  readonly groups?: readonly (string | null)[];
  /** Observations that look wrong among their own: a robust start is found without them. */
  readonly suspects?: ReadonlySet<number>;
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

/** The kind of one observation. */
export function kindOf({ kinds }: FitProblem, index: number): number {
  return kinds ? kinds[index]! : 0;
}

/** How many of its kind's standard deviations one observation has. */
export function scaleOf({ scales }: FitProblem, index: number): number {
  return scales ? scales[index]! : 1;
}

/** The standard deviation of one observation, from those of the kinds. */
export function sdOf(problem: FitProblem, sds: ArrayLike<number>, index: number): number {
  return sds[kindOf(problem, index)]! * scaleOf(problem, index);
}

/** Kept observations and priors as rows whitened to unit variance. */
export interface WhitenedRows {
  /** Predicted less observed of each kept observation, then of each prior. */
  residuals(parameters: Float64Array): number[];
  /** Their derivatives by each parameter, a row each. */
  design(parameters: Float64Array): Float64Array[];
}

/**
 * Whitens kept observations by their standard deviations, priors by their own.
 *
 * @param sds standard deviation of each kind
 */
export function whitenedRows(
  problem: FitProblem,
  kept: readonly number[],
  sds: ArrayLike<number>,
): WhitenedRows {
  const sdOfRow = kept.map((index) => sdOf(problem, sds, index));
  const whiten = (parameters: Float64Array, i: number) =>
    scaled(problem.gradient(parameters, kept[i]!), 1 / sdOfRow[i]!);
  const rest = new Float64Array(problem.columns);
  // Rows that do not depend on the parameters are made once.
  const fixed = kept.map((index, i) => (problem.isLinear(index) ? whiten(rest, i) : null));
  const priors = problem.priors.map((prior) => scaled(prior.combination, 1 / prior.sd));
  return {
    residuals: (parameters) => [
      ...kept.map(
        (index, i) => (problem.predict(parameters, index) - problem.observed[index]!) / sdOfRow[i]!,
      ),
      ...problem.priors.map(
        (prior) => (dot(prior.combination, parameters) - prior.value) / prior.sd,
      ),
    ],
    design: (parameters) => [...kept.map((_, i) => fixed[i] ?? whiten(parameters, i)), ...priors],
  };
}

function scaled(values: ArrayLike<number>, factor: number): Float64Array {
  // A plain loop: `Float64Array.from` with a function is many times slower, and this is the hot path.
  const out = new Float64Array(values.length);
  for (let j = 0; j < out.length; j++) out[j] = values[j]! * factor;
  return out;
}
