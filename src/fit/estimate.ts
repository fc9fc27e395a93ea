import { Decomposition, dot } from './decomposition.js';
import { type Ending, type LeastSquaresProblem, type Minimum, minimise } from './levenberg.js';
import {
  type FitProblem,
  initialSd,
  kindOf,
  type Noise,
  scaleOf,
  whitenedRows,
} from './problem.js';
import { compressedRows, leverages, type Triangle, triangleOf } from './triangle.js';

/** The noise that was found of one kind of observations. */
export interface FoundNoise {
  /** Standard deviation of one observation, guess and scatter together. */
  readonly sd: number;
  /** Those of `sd`: what Student's t takes; Infinity when the noise is known. */
  readonly degreesOfFreedom: number;
  /** Standard deviation of the residuals alone; null when nothing is left to scatter. */
  readonly residualSd: number | null;
}

/** A fit of kept observations: parameters, noise, and what the covariance rests on. */
export interface Estimate {
  readonly parameters: Float64Array;
  readonly kept: readonly number[];
  /** One a kind. */
  readonly noise: readonly FoundNoise[];
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
 * sd² = (ν₀·guess² + SS)/(ν₀ + ν) for each kind, where SS and ν are its observations' alone.
 *
 * @param noises one a kind of observations
 * @param starts from where the damped steps set out; the lowest minimum they reach is gone on with
 * @param firstSds the noise to begin with; what `noises` say of it when not given
 */
export function estimate(
  problem: FitProblem,
  kept: readonly number[],
  noises: readonly Noise[],
  starts: readonly Float64Array[],
  firstSds: readonly number[] = noises.map(initialSd),
): Estimate {
  let sds = firstSds;
  let from = starts;
  const isLinear = kept.every((index) => problem.isLinear(index));
  const near = isLinear ? NOISE_TOLERANCE : BENT_NOISE_TOLERANCE;
  for (let round = 1; ; round++) {
    const minimum = lowestMinimum(problem, kept, sds, from);
    const { parameters } = minimum;
    from = [parameters];
    const scatters = scattersOf(problem, kept, systemAt(problem, kept, sds, parameters), sds);
    const noise = noises.map((each, kind) => foundNoise(each, scatters[kind]!));
    const next = noise.map(({ sd }) => sd);
    const isSettled = next.every((sd, kind) => Math.abs(sd - sds[kind]!) <= near * sds[kind]!);
    if (!isSettled && round < NOISE_ROUNDS) {
      sds = next;
      continue;
    }
    const { design, residuals, triangle } = systemAt(problem, kept, next, parameters);
    return {
      parameters,
      kept,
      noise,
      decomposition: new Decomposition(triangle, design.length),
      sumOfSquares: dot(residuals, residuals),
      ending: minimum.ending,
    };
  }
}

function lowestMinimum(
  problem: FitProblem,
  kept: readonly number[],
  sds: readonly number[],
  starts: readonly Float64Array[],
): Minimum {
  const steps = compressed(problem, kept, sds, starts[0]!);
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
  sds: readonly number[],
  from: Float64Array,
): LeastSquaresProblem {
  const linear = kept.filter((index) => problem.isLinear(index));
  const bent = kept.filter((index) => !problem.isLinear(index));
  const { triangle } = systemAt(problem, linear, sds, from);
  const upper = compressedRows(triangle);
  const bending = whitenedRows({ ...problem, priors: [] }, bent, sds);
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
  sds: readonly number[],
  parameters: Float64Array,
): System {
  const rows = whitenedRows(problem, kept, sds);
  const design = rows.design(parameters);
  const residuals = rows.residuals(parameters);
  return { design, residuals, triangle: triangleOf(design, residuals, problem.columns) };
}

/** Of one kind of observations. */
interface Scatter {
  readonly squares: number;
  readonly freedom: number;
}

/**
 * The sum of squares of each kind of observations, in units of its standard deviation when scaled to
 * 1, and the degrees of freedom that the fit left them.
 */
function scattersOf(
  problem: FitProblem,
  kept: readonly number[],
  { design, residuals, triangle }: System,
  sds: readonly number[],
): Scatter[] {
  const leverageOf = leverages(triangle);
  const squares = sds.map(() => 0);
  const freedom = sds.map(() => 0);
  kept.forEach((index, i) => {
    const kind = kindOf(problem, index);
    squares[kind]! += (residuals[i]! * sds[kind]!) ** 2;
    freedom[kind]! += 1 - leverageOf(design[i]!);
  });
  return sds.map((_, kind) => ({ squares: squares[kind]!, freedom: Math.max(0, freedom[kind]!) }));
}

function foundNoise(noise: Noise, { squares, freedom }: Scatter): FoundNoise {
  const residualSd = freedom > NO_FREEDOM ? Math.sqrt(squares / freedom) : null;
  if (noise.kind === 'known') return { sd: noise.sd, degreesOfFreedom: Infinity, residualSd };
  const degreesOfFreedom = noise.guessDegreesOfFreedom + freedom;
  const all = noise.guessDegreesOfFreedom * noise.guess ** 2 + squares;
  return { sd: Math.sqrt(all / degreesOfFreedom), degreesOfFreedom, residualSd };
}

/** The standard deviation of one observation by the noise that was found. */
export function foundSd(problem: FitProblem, { noise }: Estimate, index: number): number {
  return noise[kindOf(problem, index)]!.sd * scaleOf(problem, index);
}

/** The share of an observation's variance that the fit takes up: 0 when far from it, 1 when it alone decides. */
export function leverage(problem: FitProblem, fit: Estimate, index: number): number {
  const gradient = problem.gradient(fit.parameters, index);
  const factor = fit.decomposition.factor(gradient);
  return dot(factor, factor) / foundSd(problem, fit, index) ** 2;
}

/** Observed less predicted. */
export function residual(problem: FitProblem, parameters: Float64Array, index: number): number {
  return problem.observed[index]! - problem.predict(parameters, index);
}

/**
 * Degrees of freedom of quantities whose variance comes from several kinds of observations, each with
 * an estimated noise of its own: (Σv)²/Σ(v²/ν), the sums over the kinds' shares v of the variance
 * (Welch-Satterthwaite, JCGM 100:2008 G.4.1). With one kind, that kind's own.
 *
 * @returns a function of a row of the covariance's factor
 */
export function effectiveFreedom(
  problem: FitProblem,
  fit: Estimate,
): (factor: Float64Array) => number {
  const { noise, kept, decomposition, parameters } = fit;
  const [only] = noise;
  if (noise.length === 1) return () => only!.degreesOfFreedom;
  const rows = kept.map((index) => {
    const own = decomposition.factor(problem.gradient(parameters, index));
    return { kind: kindOf(problem, index), own, sd: foundSd(problem, fit, index) };
  });
  return (factor) => {
    const shares = noise.map(() => 0);
    for (const { kind, own, sd } of rows) shares[kind]! += (dot(factor, own) / sd) ** 2;
    const total = shares.reduce((sum, share) => sum + share, 0);
    const weighted = shares.reduce(
      (sum, share, kind) => sum + share ** 2 / noise[kind]!.degreesOfFreedom,
      0,
    );
    return weighted === 0 ? Infinity : total ** 2 / weighted;
  };
}
