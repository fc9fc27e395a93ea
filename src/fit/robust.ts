import { dot } from './decomposition.js';
import { type Estimate, estimate, foundSd, leverage, residual } from './estimate.js';
import {
  type FitProblem,
  initialSd,
  kindOf,
  type Noise,
  scaleOf,
  sdOf,
  whitenedRows,
} from './problem.js';
import { damped, hasFullRank, solveTriangle, triangleOf } from './triangle.js';

/** Studentised residual beyond which an observation is set aside. */
const REJECT_BEYOND = 3.8;
/** Tukey's biweight constant: 95 % efficiency under normal noise (Beaton and Tukey 1974). */
const BIWEIGHT = 4.685;
/** Median absolute deviation to standard deviation, normal noise. */
const MAD_TO_SD = 1.4826;
const LAD_ROUNDS = 8;
const JOINT_LAD_ROUNDS = 5;
const BIWEIGHT_ROUNDS = 5;
const REJECTION_ROUNDS = 12;
/** Whitened movement of the parameters that counts as none. */
const SETTLED = 1e-2;
/** Keeps steps solvable where something is left undetermined, without moving the rest. */
const TINY_DAMPING = 1e-10;
/** An observation that alone decides something cannot be told from a misread. */
const DECIDES_ALONE = 1 - 1e-6;
/** Two observations are equally suspect when leaving out either lowers χ² by the same within this. */
const EQUALLY_SUSPECT = 4;

/** What the owner of the observations insists on. */
export interface Insistence {
  readonly exclude: ReadonlySet<number>;
  readonly use: ReadonlySet<number>;
}

export interface RobustFit {
  readonly fit: Estimate;
  /** Observations that do not fit, with their residual against the fit of the others. */
  readonly rejected: readonly number[];
  /** Pairs of which one is wrong, and nothing tells which: both are kept. */
  readonly ambiguous: readonly (readonly [number, number])[];
}

/**
 * A fit that a few gross errors cannot bend: least absolute deviations on the linear observations,
 * then a redescending weight on all of them, then a plain fit without those beyond 3.8 studentised
 * standard deviations, until the same ones stay out.
 */
export function robustFit(
  problem: FitProblem,
  noises: readonly Noise[],
  { exclude, use }: Insistence,
): RobustFit {
  const all = problem.observed.map((_, index) => index).filter((index) => !exclude.has(index));
  const start = robustStart(problem, all, noises.map(initialSd));
  const within = (index: number) => use.has(index) || start.weights.get(index)! > 0;
  let kept = all.filter(within);
  // Where observations bend, the robust start may lie in a valley of its own.
  const rest = new Float64Array(problem.columns);
  const isLinear = all.every((index) => problem.isLinear(index));
  let fit = estimate(
    problem,
    kept,
    noises,
    isLinear ? [start.parameters] : [start.parameters, rest],
  );
  const met = new Set<string>();
  for (let round = 0; round < REJECTION_ROUNDS; round++) {
    const beyond = all.filter(
      (index) => !use.has(index) && Math.abs(studentised(problem, fit, index)) > REJECT_BEYOND,
    );
    const rejected = new Set(worstOfGroups(problem, fit, beyond));
    const next = all.filter((index) => !rejected.has(index));
    if (next.length === kept.length && next.every((index, i) => index === kept[i])) break;
    const key = next.join();
    if (met.has(key)) break;
    met.add(key);
    kept = next;
    fit = estimate(problem, kept, noises, [fit.parameters], foundSds(fit));
  }
  return withoutGuessing(problem, noises, all, fit);
}

/**
 * Of observations to be rejected: in a group only the worst of those still in the fit, since it drew
 * their common parameter towards itself and made the others look wrong.
 */
function worstOfGroups(problem: FitProblem, fit: Estimate, beyond: readonly number[]): number[] {
  const { groups } = problem;
  if (!groups) return [...beyond];
  const worst = new Map<string, number>();
  const size = (index: number) => Math.abs(studentised(problem, fit, index));
  for (const index of beyond) {
    const group = groups[index] ?? null;
    if (group === null || !fit.kept.includes(index)) continue;
    const other = worst.get(group);
    if (other === undefined || size(index) > size(other)) worst.set(group, index);
  }
  return beyond.filter((index) => {
    const group = groups[index] ?? null;
    return group === null || !fit.kept.includes(index) || worst.get(group) === index;
  });
}

function foundSds({ noise }: Estimate): number[] {
  return noise.map(({ sd }) => sd);
}

/**
 * The residual in units of its own standard deviation: of an observation in the fit, which drew the
 * fit towards itself, or of one left out.
 */
function studentised(problem: FitProblem, fit: Estimate, index: number): number {
  const inFit = fit.kept.includes(index);
  // What nothing in the fit foretells cannot be held against it.
  const isForetold = () => fit.decomposition.determines(problem.gradient(fit.parameters, index));
  if (problem.groups && !inFit && !isForetold()) return 0;
  const share = leverage(problem, fit, index);
  if (inFit && share > DECIDES_ALONE) return 0;
  const own = inFit ? 1 - share : 1 + share;
  return residual(problem, fit.parameters, index) / (foundSd(problem, fit, index) * Math.sqrt(own));
}

interface Start {
  readonly parameters: Float64Array;
  readonly weights: ReadonlyMap<number, number>;
}

function robustStart(
  problem: FitProblem,
  all: readonly number[],
  guesses: readonly number[],
): Start {
  const trusted = all.filter((index) => !problem.suspects?.has(index));
  const linear = trusted.filter((index) => problem.isLinear(index));
  const lad = {
    rounds: LAD_ROUNDS,
    weight: (r: number) => Math.min(1, 1 / Math.max(Math.abs(r), 1e-3)),
    sds: guesses,
  };
  const rest = new Float64Array(problem.columns);
  let parameters = irls(problem, linear, rest, { ...lad, unseen: () => true });
  if (linear.length < trusted.length) {
    const unseen = (index: number) => !problem.isLinear(index);
    parameters = irls(problem, trusted, parameters, { ...lad, rounds: JOINT_LAD_ROUNDS, unseen });
  }
  const sds = guesses.map((guess, kind) => robustScale(problem, trusted, parameters, kind, guess));
  const biweight = (r: number) => Math.max(0, 1 - (r / BIWEIGHT) ** 2) ** 2;
  parameters = irls(problem, trusted, parameters, {
    rounds: BIWEIGHT_ROUNDS,
    weight: biweight,
    sds,
    unseen: () => false,
  });
  const weights = new Map(
    all.map((index) => [
      index,
      biweight(residual(problem, parameters, index) / sdOf(problem, sds, index)),
    ]),
  );
  return { parameters, weights };
}

/**
 * Iteratively reweighted least squares: each round one linear step with weights of the last
 * residuals. Observations that are `unseen` by the start have no residual worth a weight in the
 * first round.
 */
function irls(
  problem: FitProblem,
  indices: readonly number[],
  start: Float64Array,
  { rounds, weight, sds, unseen }: Reweighting,
): Float64Array {
  let parameters = start;
  const rows = whitenedRows(problem, indices, sds);
  for (let round = 0; round < rounds; round++) {
    const residuals = rows.residuals(parameters);
    const weights = residuals.map((size, i) => {
      const index = indices[i];
      // Priors are not reweighted: no misread made them.
      if (index === undefined || (round === 0 && unseen(index))) return 1;
      return Math.sqrt(weight(size));
    });
    const triangle = triangleOf(rows.design(parameters), residuals, problem.columns, { weights });
    const solvable = hasFullRank(triangle) ? triangle : damped(triangle, TINY_DAMPING);
    const step = solveTriangle(solvable);
    parameters = parameters.map((value, j) => value - step[j]!);
    if (step.every((value, j) => Math.abs(value * triangle.scale[j]!) < SETTLED)) break;
  }
  return parameters;
}

interface Reweighting {
  readonly rounds: number;
  readonly weight: (whitenedResidual: number) => number;
  readonly sds: readonly number[];
  readonly unseen: (index: number) => boolean;
}

/**
 * The scale of one kind's residuals by their median, pulled towards the guess where there are few.
 */
function robustScale(
  problem: FitProblem,
  all: readonly number[],
  parameters: Float64Array,
  kind: number,
  guess: number,
): number {
  const own = all.filter((index) => kindOf(problem, index) === kind);
  const sizes = own.map(
    (index) => Math.abs(residual(problem, parameters, index)) / scaleOf(problem, index),
  );
  sizes.sort((a, b) => a - b);
  const mad = MAD_TO_SD * (sizes[Math.floor(sizes.length / 2)] ?? 0);
  const share = own.length / all.length;
  const freedom = Math.max(0, share * (all.length - problem.columns));
  return Math.sqrt((2 * guess ** 2 + freedom * mad ** 2) / (2 + freedom));
}

/**
 * Where leaving out either of two observations explains the data as well, setting one aside would
 * be a guess: both stay.
 */
function withoutGuessing(
  problem: FitProblem,
  noises: readonly Noise[],
  all: readonly number[],
  fit: Estimate,
): RobustFit {
  const out = all.filter((index) => !fit.kept.includes(index));
  const ambiguous: [number, number][] = [];
  for (const suspect of out) {
    const other = equallySuspect(problem, fit, suspect);
    if (other !== null) ambiguous.push([suspect, other]);
  }
  if (ambiguous.length === 0) return { fit, rejected: out, ambiguous };
  const doubtful = new Set(ambiguous.map(([suspect]) => suspect));
  const kept = all.filter((index) => fit.kept.includes(index) || doubtful.has(index));
  const rejected = out.filter((index) => !doubtful.has(index));
  const from = [fit.parameters];
  return { fit: estimate(problem, kept, noises, from, foundSds(fit)), rejected, ambiguous };
}

/**
 * The observation whose absence would lower χ² as much as the suspect's, with the suspect back in
 * the fit, if there is one. Taking one row back in changes the others' residuals and variances by
 * the exact formulas for one more row of a linear fit.
 */
function equallySuspect(problem: FitProblem, fit: Estimate, suspect: number): number | null {
  const factorOf = (index: number) =>
    fit.decomposition.factor(problem.gradient(fit.parameters, index));
  const off = (index: number) => residual(problem, fit.parameters, index);
  const own = factorOf(suspect);
  const spread = foundSd(problem, fit, suspect) ** 2 + dot(own, own);
  const ownGain = off(suspect) ** 2 / spread;
  let best: number | null = null;
  let bestGain = ownGain - EQUALLY_SUSPECT;
  for (const index of fit.kept) {
    const factor = factorOf(index);
    const shared = dot(factor, own);
    const variance = foundSd(problem, fit, index) ** 2;
    const left = variance - (dot(factor, factor) - shared ** 2 / spread);
    if (left < variance * 1e-6) continue;
    const gain = (off(index) - (shared * off(suspect)) / spread) ** 2 / left;
    if (gain > bestGain) [best, bestGain] = [index, gain];
  }
  return best;
}
