import { describe, expect, it } from 'vitest';
import { probabilityInside } from '../../src/decide/conformity.js';
import { drawErrors, jointProbability } from '../../src/decide/joint.js';

/** Park and Miller's generator (1988) and the polar method: independent of the program's own draws. */
function normals(seed: number): () => number {
  let state = seed;
  const uniform = () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
  return () => {
    for (;;) {
      const [a, b] = [2 * uniform() - 1, 2 * uniform() - 1];
      const square = a * a + b * b;
      if (square > 0 && square < 1) return a * Math.sqrt((-2 * Math.log(square)) / square);
    }
  };
}

describe('joint probability', () => {
  it('is the product of the single ones where errors have nothing to do with each other', () => {
    const factors = [
      Float64Array.of(1, 0, 0),
      Float64Array.of(0, 2, 0),
      Float64Array.of(0, 0, 0.5),
    ];
    const draws = drawErrors(factors, Infinity);
    const single = [
      probabilityInside(0.5, -2, 2, 1, Infinity),
      probabilityInside(-1, -3, 3, 2, Infinity),
      probabilityInside(0.2, -1, 1, 0.5, Infinity),
    ];
    const product = single[0]! * single[1]! * single[2]!;
    expect(jointProbability(draws, [0.5, -1, 0.2], [2, 3, 1])).toBeCloseTo(product, 2);
  });

  it('is the single one where one error is the other turned round', () => {
    // Two knives: their offsets add up to zero, so the covariance is singular.
    const draws = drawErrors([Float64Array.of(1), Float64Array.of(-1)], Infinity);
    const single = probabilityInside(0.4, -1, 1, 1, Infinity);
    expect(jointProbability(draws, [0.4, -0.4], [1, 1])).toBeCloseTo(single, 2);
  });

  it("has the tails of Student's t", () => {
    const draws = drawErrors([Float64Array.of(1)], 4);
    const single = probabilityInside(0, -2, 2, 1, 4);
    expect(Math.abs(jointProbability(draws, [0], [2]) - single)).toBeLessThan(0.006);
  });

  it('agrees with plain random draws of six correlated errors', () => {
    const next = normals(20261125);
    const factors = Array.from({ length: 6 }, () => Float64Array.from({ length: 4 }, next));
    const limits = [2, 3, 2.5, 3, 2, 4];
    const estimates = [0.2, -0.5, 0.1, 1, 0, -0.3];
    let inside = 0;
    const tries = 100_000;
    for (let i = 0; i < tries; i++) {
      const z = [next(), next(), next(), next()];
      const isInside = factors.every((row, q) => {
        const error = row.reduce((sum, share, j) => sum + share * z[j]!, 0);
        return Math.abs(estimates[q]! + error) <= limits[q]!;
      });
      if (isInside) inside++;
    }
    const draws = drawErrors(factors, Infinity);
    const joint = jointProbability(draws, estimates, limits);
    expect(Math.abs(joint - inside / tries)).toBeLessThan(0.01);
  });
});
