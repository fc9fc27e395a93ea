import fc from 'fast-check';
import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { semidefiniteFactor } from '../../src/fit/semidefinite.js';

function product(a: readonly ArrayLike<number>[], b: readonly ArrayLike<number>[]): number[][] {
  return a.map((row) =>
    b.map((other) => Array.from(row).reduce((s, x, k) => s + x * other[k]!, 0)),
  );
}

function expectFactor(covariance: readonly (readonly number[])[]): void {
  const factor = semidefiniteFactor(covariance);
  const again = product(factor, factor);
  const largest = Math.max(0, ...covariance.map((row, i) => row[i]!));
  covariance.forEach((row, i) => {
    row.forEach((value, j) => {
      expect(Math.abs(again[i]![j]! - value)).toBeLessThanOrEqual(1e-11 * largest);
    });
  });
}

/** Rows of some n × m matrix A: A·Aᵀ is a covariance of rank at most m. */
const rowsOf = (n: number, m: number) =>
  fc.array(fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: m, maxLength: m }), {
    minLength: n,
    maxLength: n,
  });

describe('the factor of a covariance', () => {
  it('gives the covariance again, singular or not', () => {
    const shapes = fc.tuple(fc.integer({ min: 1, max: 8 }), fc.integer({ min: 1, max: 8 }));
    fc.assert(
      fc.property(
        shapes.chain(([n, m]) => rowsOf(n, m)),
        fc.constantFrom(1e-6, 1e-3, 1),
        (rows, unit) => {
          const scaled = rows.map((row) => row.map((value) => value * unit));
          expectFactor(product(scaled, scaled));
        },
      ),
      { numRuns: 300 },
    );
  });

  it('gives that of offsets from a mean, which add up to nothing, and so do its rows', () => {
    const factor = semidefiniteFactor([
      [2 / 3, -1 / 3, -1 / 3],
      [-1 / 3, 2 / 3, -1 / 3],
      [-1 / 3, -1 / 3, 2 / 3],
    ]);
    for (let k = 0; k < 3; k++) {
      expect(factor[0]![k]! + factor[1]![k]! + factor[2]![k]!).toBeCloseTo(0, 12);
    }
    // Rank 2: the last column is nothing.
    expect(factor.map((row) => row[2])).toEqual([0, 0, 0]);
  });

  it('has the determinant of ml-matrix’s Cholesky factor, a general-purpose library from npm', () => {
    const covariance = [
      [4, 2, 0.6],
      [2, 5, 1],
      [0.6, 1, 3],
    ];
    const theirs = new CholeskyDecomposition(new Matrix(covariance)).lowerTriangularMatrix;
    const det = (f: readonly ArrayLike<number>[]) =>
      f[0]![0]! * (f[1]![1]! * f[2]![2]! - f[1]![2]! * f[2]![1]!) -
      f[0]![1]! * (f[1]![0]! * f[2]![2]! - f[1]![2]! * f[2]![0]!) +
      f[0]![2]! * (f[1]![0]! * f[2]![1]! - f[1]![1]! * f[2]![0]!);
    expect(Math.abs(det(semidefiniteFactor(covariance)))).toBeCloseTo(
      Math.abs(det(theirs.to2DArray())),
      10,
    );
  });

  it('takes what rounding leaves of nothing for nothing, a little below zero too', () => {
    expect(
      semidefiniteFactor([
        [0, 0],
        [0, 0],
      ]).map((row) => [...row]),
    ).toEqual([
      [0, 0],
      [0, 0],
    ]);
    const factor = semidefiniteFactor([
      [1, 1 + 1e-16],
      [1 + 1e-16, 1 - 1e-15],
    ]);
    expect(factor.flatMap((row) => [...row]).every(Number.isFinite)).toBe(true);
    expect(factor[1]![1]).toBe(0);
    expect(semidefiniteFactor([])).toEqual([]);
  });
});
