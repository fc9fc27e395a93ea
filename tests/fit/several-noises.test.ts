import { describe, expect, it } from 'vitest';
import { dot } from '../../src/fit/decomposition.js';
import { effectiveFreedom, estimate, foundSd, leverage } from '../../src/fit/estimate.js';
import { solveLinear } from '../../src/fit/least-squares.js';
import type { FitProblem, Noise, Prior } from '../../src/fit/problem.js';
import { seeded } from '../workshop/random.js';

/** Observations that are linear in the parameters. */
function linearProblem(
  rows: readonly (readonly number[])[],
  observed: readonly number[],
  more: Partial<Pick<FitProblem, 'kinds' | 'scales' | 'priors'>> = {},
): FitProblem {
  return {
    columns: rows[0]!.length,
    observed,
    priors: [],
    predict: (parameters, index) => dot(rows[index]!, parameters),
    gradient: (_, index) => rows[index]!,
    isLinear: () => true,
    ...more,
  };
}

function fitAll(problem: FitProblem, noises: readonly Noise[]) {
  const all = problem.observed.map((_, index) => index);
  return estimate(problem, all, noises, [new Float64Array(problem.columns)]);
}

const guess = (value: number, degreesOfFreedom: number): Noise => ({
  kind: 'estimated',
  guess: value,
  guessDegreesOfFreedom: degreesOfFreedom,
});

/** Values about 0 with exactly this standard deviation. */
function spread(count: number, sd: number): number[] {
  const raw = Array.from({ length: count }, (_, i) => i - (count - 1) / 2);
  const size = Math.sqrt(raw.reduce((sum, value) => sum + value ** 2, 0) / (count - 1));
  return raw.map((value) => (value * sd) / size);
}

describe('effective degrees of freedom', () => {
  it('are those of JCGM 100:2008, G.4.1: three means of 10, 5 and 15 observations', () => {
    // Printed: relative standard uncertainties of the means 0.25, 0.57 and 0.82 %, combined
    // 1.03 %, effective degrees of freedom 19.0.
    const groups = [
      { count: 10, u: 0.25 },
      { count: 5, u: 0.57 },
      { count: 15, u: 0.82 },
    ];
    const rows: number[][] = [];
    const kinds: number[] = [];
    const observed: number[] = [];
    groups.forEach(({ count, u }, kind) => {
      for (const value of spread(count, u * Math.sqrt(count))) {
        rows.push(groups.map((_, j) => (j === kind ? 1 : 0)));
        kinds.push(kind);
        observed.push(value);
      }
    });
    const problem = linearProblem(rows, observed, { kinds });
    const fit = fitAll(
      problem,
      groups.map(({ u }) => guess(u, 0)),
    );
    const factor = fit.decomposition.factor([1, 1, 1]);
    expect(Math.sqrt(dot(factor, factor))).toBeCloseTo(1.03, 2);
    expect(effectiveFreedom(problem, fit)(factor)).toBeCloseTo(19, 1);
  });

  it('are those of JCGM 100:2008, H.1.6: an end gauge’s calibration', () => {
    // Printed: 25 nm with 18, 9.7 nm with 25.6, 2.9 nm with 50 and 16.6 nm with 2 degrees of
    // freedom; combined 32 nm with 16.7, to be taken for 16.
    const parts: readonly (readonly [number, number])[] = [
      [25, 18],
      [9.7, 25.6],
      [2.9, 50],
      [16.6, 2],
    ];
    const rows = parts.map((_, i) => parts.map((__, j) => (i === j ? 1 : 0)));
    const kinds = parts.map((_, i) => i);
    const problem = linearProblem(rows, [0, 0, 0, 0], { kinds });
    const fit = fitAll(
      problem,
      parts.map(([u, freedom]) => guess(u, freedom)),
    );
    const factor = fit.decomposition.factor([1, 1, 1, 1]);
    const freedom = effectiveFreedom(problem, fit)(factor);
    expect(Math.sqrt(dot(factor, factor))).toBeCloseTo(32, 0);
    expect(freedom).toBeCloseTo(16.7, 0);
    expect(Math.floor(freedom)).toBe(16);
  });

  it('are without end where every noise is known, and a kind’s own where there is one', () => {
    const rows = [[1], [1], [1]];
    const two = linearProblem(rows, [1, 2, 3], { kinds: [0, 0, 1] });
    const known = fitAll(two, [
      { kind: 'known', sd: 1 },
      { kind: 'known', sd: 2 },
    ]);
    expect(effectiveFreedom(two, known)(known.decomposition.factor([1]))).toBe(Infinity);
    const one = linearProblem(rows, [1, 2, 3]);
    const found = fitAll(one, [guess(1, 2)]);
    expect(effectiveFreedom(one, found)(found.decomposition.factor([1]))).toBeCloseTo(4, 10);
  });

  it('lie between the least of the kinds’ and the sum of all', () => {
    const random = seeded(7);
    const rows = Array.from({ length: 30 }, (_, i) => [1, i / 10, (i / 10) ** 2]);
    const kinds = rows.map((_, i) => i % 3);
    const sds = [0.1, 1, 0.3];
    const observed = rows.map((_, i) => random.normal(sds[i % 3]!));
    const problem = linearProblem(rows, observed, { kinds });
    const fit = fitAll(
      problem,
      sds.map((sd) => guess(sd, 1)),
    );
    const freedoms = fit.noise.map(({ degreesOfFreedom }) => degreesOfFreedom);
    const sum = freedoms.reduce((a, b) => a + b, 0);
    // 30 observations and a guess each, less three parameters.
    expect(sum).toBeCloseTo(30, 8);
    for (const combination of [
      [1, 0, 0],
      [0, 1, 0],
      [1, 2, 4],
      [0, 0, 1],
    ]) {
      const freedom = effectiveFreedom(problem, fit)(fit.decomposition.factor(combination));
      expect(freedom).toBeGreaterThanOrEqual(Math.min(...freedoms) - 1e-9);
      expect(freedom).toBeLessThanOrEqual(sum + 1e-9);
    }
  });
});

describe('several kinds of noise in one fit', () => {
  const random = seeded(4711);
  const rows = Array.from({ length: 240 }, (_, i) => [1, Math.sin(i), Math.cos(i / 3)]);
  const kinds = rows.map((_, i) => i % 3);
  const sds = [0.01, 0.3, 2];
  const observed = rows.map((row, i) => dot(row, [1, -2, 0.5]) + random.normal(sds[i % 3]!));
  const noises = [guess(0.02, 2), guess(0.1, 2), guess(1, 2)];

  it('are each found, and the best instrument decides', () => {
    const fit = fitAll(linearProblem(rows, observed, { kinds }), noises);
    fit.noise.forEach(({ sd, residualSd, degreesOfFreedom }, kind) => {
      // 80 observations: a standard deviation is known to a twelfth or so.
      expect(Math.abs(sd / sds[kind]! - 1)).toBeLessThan(0.25);
      expect(residualSd).not.toBeNull();
      expect(degreesOfFreedom).toBeLessThanOrEqual(82);
    });
    expect(fit.parameters[0]).toBeCloseTo(1, 2);
    expect(fit.parameters[1]).toBeCloseTo(-2, 2);
    expect(fit.parameters[2]).toBeCloseTo(0.5, 2);
    // Three parameters are taken up by all kinds together, nearly all by the finest.
    const freedoms = fit.noise.map(({ degreesOfFreedom }) => degreesOfFreedom - 2);
    expect(freedoms[0]! + freedoms[1]! + freedoms[2]!).toBeCloseTo(237, 6);
    expect(freedoms[0]).toBeLessThan(77.1);
  });

  it('are whitened as one would by hand', () => {
    const scales = rows.map((_, i) => 1 + (i % 5) / 2);
    const known = sds.map((sd): Noise => ({ kind: 'known', sd }));
    const prior: Prior = { combination: [0, 1, 1], value: -1.4, sd: 0.01 };
    const problem = linearProblem(rows, observed, { kinds, scales, priors: [prior] });
    const fit = fitAll(problem, known);
    const weights = rows.map((_, i) => 1 / (sds[i % 3]! * scales[i]!));
    // The prior's own row: divided by 0.01.
    const design = [
      ...rows.map((row, i) => row.map((value) => value * weights[i]!)),
      [0, 100, 100],
    ];
    const byHand = solveLinear(design, [...observed.map((y, i) => y * weights[i]!), -140]);
    const covariance = byHand.unscaledCovariance()!;
    for (let j = 0; j < 3; j++) {
      expect(fit.parameters[j]).toBeCloseTo(byHand.solution[j]!, 9);
      const unit = [0, 1, 2].map((k) => (k === j ? 1 : 0));
      const factor = fit.decomposition.factor(unit);
      expect(dot(factor, factor) / covariance[j]![j]!).toBeCloseTo(1, 9);
    }
    expect(fit.sumOfSquares / byHand.residualSumOfSquares).toBeCloseTo(1, 9);
  });

  it('are a plain fit where all observations are of one kind', () => {
    const plain = fitAll(linearProblem(rows, observed), [guess(0.5, 2)]);
    const named = fitAll(linearProblem(rows, observed, { kinds: rows.map(() => 0) }), [
      guess(0.5, 2),
    ]);
    expect(named.parameters).toEqual(plain.parameters);
    expect(named.noise).toEqual(plain.noise);
    const spare = fitAll(linearProblem(rows, observed, { kinds: rows.map(() => 1) }), [
      guess(3, 2),
      guess(0.5, 2),
    ]);
    expect(spare.parameters).toEqual(plain.parameters);
    // A kind of which there is no observation keeps its guess.
    expect(spare.noise[0]).toEqual({ sd: 3, degreesOfFreedom: 2, residualSd: null });
    expect(spare.noise[1]).toEqual(plain.noise[0]);
  });

  it('do not depend on which kind is named first', () => {
    const fit = fitAll(linearProblem(rows, observed, { kinds }), noises);
    const turned = fitAll(
      linearProblem(rows, observed, { kinds: kinds.map((kind) => 2 - kind) }),
      noises.toReversed(),
    );
    expect(turned.noise.toReversed().map(({ sd }) => sd)).toEqual(fit.noise.map(({ sd }) => sd));
    expect(turned.parameters).toEqual(fit.parameters);
  });

  it('give each observation its share of the fit by its own standard deviation', () => {
    const scales = rows.map((_, i) => (i === 7 ? 100 : 1));
    const problem = linearProblem(rows, observed, { kinds, scales });
    const fit = fitAll(problem, noises);
    expect(foundSd(problem, fit, 7) / foundSd(problem, fit, 4)).toBeCloseTo(100, 9);
    const shares = rows.map((_, index) => leverage(problem, fit, index));
    // The shares of all observations add up to the number of parameters.
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(3, 8);
    expect(shares[7]).toBeLessThan(shares[4]! / 1000);
  });
});
