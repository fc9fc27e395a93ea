import { SimpleLinearRegression, TheilSenRegression } from 'ml-regression';
import { describe, expect, it } from 'vitest';
import { solveLinear } from '../../src/fit/least-squares.js';
import { type FitProblem, initialSd } from '../../src/fit/problem.js';
import { robustFit } from '../../src/fit/robust.js';
import { fixture } from './fixture.js';

interface LinearSet {
  readonly name: string;
  readonly x: readonly (readonly number[])[] | readonly number[];
  readonly y: readonly number[];
}

const norris = fixture<LinearSet[]>('strd-linear.json').find(({ name }) => name === 'Norris')!;
const x = norris.x.flat();
const y = [...norris.y];

/** Plain and robust lines against ml-regression, a general-purpose library from npm. */
describe('lines against ml-regression', () => {
  it('agree with its least squares', () => {
    const line = new SimpleLinearRegression(x, y);
    const ours = solveLinear(
      x.map((value) => [1, value]),
      y,
    );
    expect(ours.solution[0]).toBeCloseTo(line.intercept, 9);
    expect(ours.solution[1]).toBeCloseTo(line.slope, 12);
  });

  it('stay with its Theil-Sen line where a fifth of the points are gross errors', () => {
    const bent = y.map((value, i) => (i % 5 === 2 ? value + 300 : value));
    const problem: FitProblem = {
      columns: 2,
      observed: bent,
      priors: [],
      predict: (at, i) => at[0]! + at[1]! * x[i]!,
      gradient: (_, i) => [1, x[i]!],
      isLinear: () => true,
    };
    const noise = { kind: 'estimated', guess: 1, guessDegreesOfFreedom: 2 } as const;
    expect(initialSd(noise)).toBe(1);
    const none = { exclude: new Set<number>(), use: new Set<number>() };
    const { fit, rejected } = robustFit(problem, [noise], none);
    expect(rejected).toEqual(x.map((_, i) => i).filter((i) => i % 5 === 2));
    const line = new TheilSenRegression(x, bent);
    expect(Math.abs(fit.parameters[1]! - line.slope)).toBeLessThan(0.02);
    // The plain line through the same points is bent by tens.
    const plain = new SimpleLinearRegression(x, bent);
    expect(Math.abs(plain.intercept - fit.parameters[0]!)).toBeGreaterThan(30);
  });
});
