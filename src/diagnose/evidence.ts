import { dot } from '../fit/decomposition.js';
import { chiSquareCdf } from '../fit/distributions.js';
import { type Estimate, estimate, type FoundNoise, residual } from '../fit/estimate.js';
import { type FitProblem, kindOf, type Noise } from '../fit/problem.js';
import type { TestCutModel } from '../model/test-cut.js';

/** A disagreement this unlikely by chance is no chance. */
const DISAGREE_BELOW = 0.001;

export interface FullBoardCheck {
  readonly readings: number;
  readonly rms: number;
  readonly pValue: number;
  readonly agree: boolean;
}

/**
 * How well full boards agree with what the knives' own heights foretell of them: the sum of squares
 * that their rows add to the fit, against the degrees of freedom that they add. Null where full
 * boards are not foretold or add nothing.
 */
export function checkFullBoards(
  model: TestCutModel,
  problem: FitProblem,
  fit: Estimate,
): FullBoardCheck | null {
  const full = fit.kept.filter(model.seesAll);
  if (full.length === 0) return null;
  const others = fit.kept.filter((index) => !model.seesAll(index));
  // Same noise as in the joint fit, so that their sums of squares differ by the full boards alone.
  const noises = fit.noise.map(({ sd }): Noise => ({ kind: 'known', sd }));
  const alone = estimate(problem, others, noises, [fit.parameters]);
  const rankGained = fit.decomposition.rank - alone.decomposition.rank;
  const freedom = full.length - rankGained;
  if (freedom < 1) return null;
  const gaps = full.map(
    (index) => model.readings[index]!.thickness - problem.predict(alone.parameters, index),
  );
  const mean = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
  const rms = Math.sqrt(gaps.reduce((sum, gap) => sum + (gap - mean) ** 2, 0) / gaps.length);
  const added = Math.max(0, fit.sumOfSquares - alone.sumOfSquares);
  const pValue = 1 - chiSquareCdf(added, freedom);
  return { readings: full.length, rms, pValue, agree: pValue >= DISAGREE_BELOW };
}

/**
 * A verdict hangs on a margin of less than two standard uncertainties. A reading in the fit, within
 * 3.8 standard deviations of it and of a leverage below `LIGHT`, moves a quantity by less than three.
 */
const CLEAR_BY = 5;
/** A reading with less than this leverage. */
const LIGHT = 0.3;

/** A quantity that a verdict is about: its value and the row of the covariance's factor. */
export interface Judged {
  readonly name: string;
  readonly value: number;
  readonly tolerance: number;
  readonly degreesOfFreedom: number;
  readonly combination: ArrayLike<number>;
  readonly verdictOf: (value: number, u: number, degreesOfFreedom: number) => string;
}

export interface Turning {
  readonly index: number;
  readonly quantity: string;
  readonly to: string;
}

/**
 * Readings (observations of kind 0) each of which, dropped alone, would turn a verdict: by the exact
 * formula for a dropped row of a linear fit, with the noise found again without it.
 *
 * @param guess the noise of readings beforehand
 */
export function turningReadings(
  problem: FitProblem,
  fit: Estimate,
  guess: Noise,
  judged: readonly Judged[],
): Turning[] {
  const turning: Turning[] = [];
  const noise = fit.noise[0]!;
  const asked = judged.map((quantity) => {
    const factor = fit.decomposition.factor(quantity.combination);
    const variance = dot(factor, factor);
    const { value, tolerance, degreesOfFreedom, verdictOf } = quantity;
    return {
      ...quantity,
      factor,
      variance,
      before: verdictOf(value, Math.sqrt(variance), degreesOfFreedom),
      isClear: isClear(value, tolerance, variance),
    };
  });
  for (const index of fit.kept.filter((each) => kindOf(problem, each) === 0)) {
    const own = fit.decomposition.factor(problem.gradient(fit.parameters, index));
    const share = dot(own, own) / noise.sd ** 2;
    if (share > 1 - 1e-9) continue;
    const off = residual(problem, fit.parameters, index);
    const without = noiseWithout(noise, guess, off, share);
    const fewer = noise.degreesOfFreedom - without.degreesOfFreedom;
    for (const { name, value, verdictOf, factor, variance, before, isClear, ...rest } of asked) {
      if (share < LIGHT && isClear) continue;
      const along = dot(factor, own) / noise.sd ** 2;
      const dropped = value - (along * off) / (1 - share);
      const wider = Math.sqrt(variance + (along * noise.sd) ** 2 / (1 - share));
      const freedom = Number.isFinite(fewer) ? rest.degreesOfFreedom - fewer : Infinity;
      const after = verdictOf(dropped, wider * (without.sd / noise.sd), Math.max(1, freedom));
      if (after !== before) turning.push({ index, quantity: name, to: after });
    }
  }
  return turning;
}

/** Whether a verdict is so clear that no single reading can turn it. */
function isClear(value: number, tolerance: number, variance: number): boolean {
  const margin = Math.abs(tolerance - Math.abs(value));
  return margin > CLEAR_BY * Math.sqrt(variance);
}

/** The pooled noise when one observation is left out. */
function noiseWithout(found: FoundNoise, guess: Noise, off: number, share: number) {
  if (guess.kind === 'known') return { sd: guess.sd, degreesOfFreedom: Infinity };
  const degreesOfFreedom = Math.max(guess.guessDegreesOfFreedom, found.degreesOfFreedom - 1);
  const squares = found.sd ** 2 * found.degreesOfFreedom - off ** 2 / (1 - share);
  const least = guess.guess ** 2 * guess.guessDegreesOfFreedom;
  return { sd: Math.sqrt(Math.max(squares, least) / degreesOfFreedom), degreesOfFreedom };
}

export interface Narrowing {
  readonly index: number;
  readonly quantity: string;
  /** Standard uncertainty now and with one more reading there. */
  readonly from: number;
  readonly to: number;
}

/**
 * The place whose next reading would narrow the least certain quantity most, uncertainties being
 * measured by their tolerances: one more row like an
 * existing one takes (g·C·j)²/(σ² + j·C·j) off its variance.
 */
export function narrowingReading(
  problem: FitProblem,
  fit: Estimate,
  judged: readonly Judged[],
): Narrowing | null {
  const factors = judged.map(({ combination }) => fit.decomposition.factor(combination));
  const variances = factors.map((factor) => dot(factor, factor));
  const widths = judged.map(({ tolerance }, q) => variances[q]! / tolerance ** 2);
  const widest = widths.indexOf(Math.max(...widths));
  if (widest < 0) return null;
  const before = variances[widest]!;
  let best: Narrowing | null = null;
  const { sd } = fit.noise[0]!;
  for (const index of fit.kept.filter((each) => kindOf(problem, each) === 0)) {
    const own = fit.decomposition.factor(problem.gradient(fit.parameters, index));
    const saved = dot(factors[widest]!, own) ** 2 / (sd ** 2 + dot(own, own));
    const to = Math.sqrt(Math.max(0, before - saved));
    if (!best || to < best.to - 1e-12) {
      best = { index, quantity: judged[widest]!.name, from: Math.sqrt(before), to };
    }
  }
  return best;
}
