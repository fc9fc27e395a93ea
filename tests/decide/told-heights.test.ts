import { describe, expect, it } from 'vitest';
import { afterHeights, type HeightsBefore } from '../../src/decide/told-heights.js';
import { dot } from '../../src/fit/decomposition.js';
import { solveLinear } from '../../src/fit/least-squares.js';
import { type Random, seeded } from '../workshop/random.js';

interface Told {
  readonly weights: readonly number[];
  readonly value: number;
  readonly sd: number;
}

/** What is known of some heights: their factor is a square matrix of full rank. */
function known(knives: number, random: Random): HeightsBefore {
  return {
    heights: Array.from({ length: knives }, () => random.normal(0.02)),
    factors: Array.from({ length: knives }, () =>
      Float64Array.from({ length: knives }, () => random.normal(0.01)),
    ),
    degreesOfFreedom: 9,
  };
}

function told(knives: number, random: Random): Told {
  const weights = Array.from({ length: knives }, () => random.pick([-1, -0.5, 0, 0.7, 1]));
  weights[0] = 1;
  return { weights, value: random.normal(0.02), sd: random.pick([1e-5, 1e-3, 0.01, 1]) };
}

function update(before: HeightsBefore, rows: readonly Told[]): HeightsBefore {
  return rows.reduce((heights, { weights, value, sd }) => {
    const terms = weights.map((weight, knife) => ({ knife, weight }));
    return afterHeights(heights, { x: 40, terms, value, sd });
  }, before);
}

/** The same by plain least squares in z, where heights = before + factor · z, z ~ N(0, 1). */
function byLeastSquares(before: HeightsBefore, rows: readonly Told[]) {
  const { heights, factors } = before;
  const size = factors[0]!.length;
  const design: number[][] = Array.from({ length: size }, (_, j) =>
    Array.from({ length: size }, (__, i) => (i === j ? 1 : 0)),
  );
  const rhs = design.map(() => 0);
  for (const { weights, value, sd } of rows) {
    design.push(
      Array.from(
        { length: size },
        (_, j) =>
          dot(
            weights,
            factors.map((f) => f[j]!),
          ) / sd,
      ),
    );
    rhs.push((value - dot(weights, heights)) / sd);
  }
  const fit = solveLinear(design, rhs);
  const inner = fit.unscaledCovariance()!;
  return {
    heights: heights.map((height, k) => height + dot(factors[k]!, fit.solution)),
    covariance: factors.map((a) =>
      factors.map((b) =>
        dot(
          a,
          inner.map((row) => dot(row, b)),
        ),
      ),
    ),
  };
}

describe('heights once more sums of them are told', () => {
  it('are those of one least-squares fit of all rows', () => {
    const random = seeded(41);
    for (let i = 0; i < 50; i++) {
      const knives = 1 + Math.floor(random.uniform() * 6);
      const before = known(knives, random);
      const rows = Array.from({ length: 1 + Math.floor(random.uniform() * 5) }, () =>
        told(knives, random),
      );
      const ours = update(before, rows);
      const theirs = byLeastSquares(before, rows);
      const largest = Math.max(...before.factors.map((f) => dot(f, f)));
      ours.heights.forEach((height, k) => {
        expect(Math.abs(height - theirs.heights[k]!)).toBeLessThan(1e-8);
      });
      ours.factors.forEach((a, k) => {
        ours.factors.forEach((b, l) => {
          expect(Math.abs(dot(a, b) - theirs.covariance[k]![l]!)).toBeLessThan(1e-9 * largest);
        });
      });
      expect(ours.degreesOfFreedom).toBe(9);
    }
  });

  it('keep what is told exactly, and its variance is gone', () => {
    const random = seeded(42);
    const before = known(4, random);
    const difference = { weights: [1, -1, 0, 0], value: 0.004, sd: 0 };
    const { heights, factors } = update(before, [difference]);
    expect(heights[0]! - heights[1]!).toBeCloseTo(0.004, 12);
    const left = factors[0]!.map((value, j) => value - factors[1]![j]!);
    expect(dot(left, left)).toBeLessThan(1e-24);
    // The variance of the rest is never negative, and no more than it was.
    factors.forEach((factor, k) => {
      expect(dot(factor, factor)).toBeLessThanOrEqual(
        dot(before.factors[k]!, before.factors[k]!) + 1e-15,
      );
    });
  });

  it('stand where they stood where nothing new was told', () => {
    const before = known(3, seeded(43));
    const vague = update(before, [{ weights: [1, 1, 1], value: 5, sd: 1e9 }]);
    vague.heights.forEach((height, k) => {
      expect(height).toBeCloseTo(before.heights[k]!, 9);
    });
    // Knives of which everything is known already learn nothing.
    const sure = { ...before, factors: before.factors.map((f) => f.map(() => 0)) };
    const same = update(sure, [{ weights: [1, -1, 0], value: 5, sd: 0.001 }]);
    expect(same.heights).toEqual(before.heights);
  });

  it('keep the digits of small variances beside large ones', () => {
    // Twelve sharp sums after a guess of 0.2 mm: the variance left is 10 orders smaller.
    const knives = 4;
    const before: HeightsBefore = {
      heights: [0, 0, 0, 0],
      factors: [0, 1, 2, 3].map((k) => Float64Array.from([0, 1, 2, 3], (j) => (j === k ? 0.2 : 0))),
      degreesOfFreedom: Infinity,
    };
    const rows = Array.from({ length: 12 }, (_, i) => ({
      weights: Array.from({ length: knives }, (__, k) =>
        k === i % 4 ? 1 : k === (i + 1) % 4 ? -1 : 0,
      ),
      value: 0,
      sd: 2e-6,
    }));
    const { factors } = update(before, rows);
    const left = factors[0]!.map((value, j) => value - factors[2]![j]!);
    const { covariance } = byLeastSquares(before, rows);
    const exact = covariance[0]![0]! - 2 * covariance[0]![2]! + covariance[2]![2]!;
    // Three readings of each of four differences round the block: opposite knives are two halves
    // of the round, each of two differences, so 2·σ²/3 in parallel with as much.
    expect(dot(left, left) / (2e-6 ** 2 / 3)).toBeCloseTo(1, 6);
    expect(Math.abs(exact / (2e-6 ** 2 / 3) - 1)).toBeLessThan(0.5);
  });
});
