import fc from 'fast-check';
import { Matrix, SVD } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { Decomposition } from '../../src/fit/decomposition.js';
import { singularValues } from '../../src/fit/singular-values.js';

const squaresOf = (entries: fc.Arbitrary<number>) =>
  fc
    .integer({ min: 1, max: 9 })
    .chain((size) => fc.array(entries, { minLength: size * size, maxLength: size * size }));
const squares = squaresOf(fc.double({ min: -5, max: 5, noNaN: true }));
// ml-matrix 6.15 is off by 1e-12 where entries are subnormal: it gives 9.47e-12 for
// [[-5e-324, 0], [-5e-324, -8.47e-12]], whose values are 8.47e-12 and 0.
const hundredths = squaresOf(fc.integer({ min: -500, max: 500 }).map((n) => n / 100));
describe('singular values', () => {
  it('are exact where an entry is all but zero', () => {
    const tiny = singularValues([-5e-324, 0, -5e-324, -8.47213595507983e-12], 2);
    expect(tiny.values).toEqual([8.47213595507983e-12, 0]);
  });

  it('agree with ml-matrix, a general-purpose library from npm', () => {
    fc.assert(
      fc.property(hundredths, (matrix) => {
        const size = Math.sqrt(matrix.length);
        const ours = singularValues(matrix, size).values;
        const theirs = new SVD(Matrix.from1DArray(size, size, matrix)).diagonal;
        ours.forEach((value, k) => {
          expect(Math.abs(value - theirs[k]!)).toBeLessThan(1e-12 * (1 + theirs[0]!));
        });
      }),
    );
  });

  it('put the matrix together again from values and vectors', () => {
    fc.assert(
      fc.property(squares, (matrix) => {
        const size = Math.sqrt(matrix.length);
        const { values, left, right } = singularValues(matrix, size);
        matrix.forEach((entry, at) => {
          const [i, j] = [Math.floor(at / size), at % size];
          const sum = values.reduce(
            (all, value, k) => all + value * left[k]![i]! * right[k]![j]!,
            0,
          );
          expect(Math.abs(sum - entry)).toBeLessThan(1e-11);
        });
      }),
    );
  });
});

describe('a design taken apart', () => {
  it('knows the sum but not the parts of two equal columns', () => {
    const design = Decomposition.of(
      [
        [1, 1, 0],
        [2, 2, 0],
        [0, 0, 1],
      ],
      3,
    );
    expect(design.rank).toBe(2);
    expect(design.determines([1, 1, 0])).toBe(true);
    expect(design.determines([0, 0, 1])).toBe(true);
    expect(design.determines([1, 0, 0])).toBe(false);
    expect(design.determines([1, 1, 3])).toBe(true);
  });

  it('does not determine what no row speaks of, and loses nothing of the rest', () => {
    const design = Decomposition.of(
      [
        [0, 1, 2],
        [0, 3, 4],
        [0, 5, 7],
      ],
      3,
    );
    expect(design.rank).toBe(2);
    expect(design.determines([1, 0, 0])).toBe(false);
    expect(design.determines([0, 1, 0])).toBe(true);
    const without = Decomposition.of(
      [
        [1, 2],
        [3, 4],
        [5, 7],
      ],
      2,
    );
    const variance = (factor: Float64Array) => factor.reduce((sum, value) => sum + value ** 2, 0);
    expect(variance(design.factor([0, 1, 0]))).toBeCloseTo(variance(without.factor([1, 0])), 10);
  });

  it('gives the same variances whatever the units of the parameters', () => {
    const rows = [
      [1, 2],
      [1, 3],
      [1, 5],
      [1, 7],
    ];
    const thousandths = rows.map(([one, x]) => [one!, x! * 1000]);
    const variance = (factor: Float64Array) => factor.reduce((sum, value) => sum + value ** 2, 0);
    const plain = variance(Decomposition.of(rows, 2).factor([1, 4]));
    expect(variance(Decomposition.of(thousandths, 2).factor([1, 4000]))).toBeCloseTo(plain, 12);
  });

  it('refuses a variance where columns are equal to rounding', () => {
    // A pseudo-inverse would give a small variance here.
    const nearly = Decomposition.of(
      [
        [1, 1 + 1e-16],
        [1, 1],
        [2, 2],
      ],
      2,
    );
    expect(nearly.rank).toBe(1);
    expect(nearly.determines([1, -1])).toBe(false);
  });
});
