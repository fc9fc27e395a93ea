import { describe, expect, it } from 'vitest';
import { solveLinear } from '../../src/fit/least-squares.js';
import { minimise } from '../../src/fit/levenberg.js';
import { fixture, matchingDigits, worstDigits } from './fixture.js';
import { type CurveModel, curveModels } from './strd-models.js';

interface NonlinearSet {
  readonly name: string;
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly starts: readonly (readonly number[])[];
  readonly certified: {
    readonly parameters: readonly number[];
    readonly standardDeviations: readonly number[];
    readonly residualSumOfSquares: number;
    readonly residualStandardDeviation: number;
    readonly degreesOfFreedom: number;
  };
}

const sets = fixture<NonlinearSet[]>('strd-nonlinear.json');

function problemOf(set: NonlinearSet, model: CurveModel) {
  return {
    residuals: (b: Float64Array) =>
      Float64Array.from(set.x, (x, i) => model.value(x, b) - set.y[i]!),
    jacobian: (b: Float64Array) => set.x.map((x) => [...model.gradient(x, b)]),
  };
}

/** The derivative by parameter j from central differences of two steps, extrapolated to none. */
function differenceSlope(model: CurveModel, x: number, b: readonly number[], j: number): number {
  const over = (step: number) => {
    const moved = (by: number) => b.map((value, k) => (k === j ? value + by : value));
    return (model.value(x, moved(step)) - model.value(x, moved(-step))) / (2 * step);
  };
  const step = 1e-5 * Math.abs(b[j]!);
  return (4 * over(step / 2) - over(step)) / 3;
}

/*
 * NIST/ITL Statistical Reference Datasets, nonlinear regression: certified to 11 digits, each with
 * two published starts, the first far from the answer. Seven digits are asked for from both.
 */
describe('NIST StRD nonlinear sets', () => {
  it('are the twelve', () => {
    expect(sets.map((set) => set.name)).toEqual([
      'Misra1a',
      'Misra1b',
      'Chwirut2',
      'DanWood',
      'Hahn1',
      'MGH09',
      'MGH10',
      'Thurber',
      'Rat43',
      'BoxBOD',
      'Eckerle4',
      'Bennett5',
    ]);
  });

  describe.each(sets)('$name', (set) => {
    const model = curveModels[set.name]!;

    it('has the derivatives that differences of its values give', () => {
      const b = set.starts[1]!;
      for (const x of set.x) {
        const gradient = model.gradient(x, b);
        const size = Math.max(...gradient.map((slope, j) => Math.abs(slope * b[j]!)));
        gradient.forEach((slope, j) => {
          const error = Math.abs(slope - differenceSlope(model, x, b, j)) * Math.abs(b[j]!);
          expect(error / size).toBeLessThan(1e-7);
        });
      }
    });

    it.each([
      ['first', 0],
      ['second', 1],
    ] as const)('reaches the certified minimum from the %s start', (_, which) => {
      const { certified } = set;
      const problem = problemOf(set, model);
      const minimum = minimise(problem, set.starts[which]!);
      expect(minimum.ending).toMatch(/^converged-/);
      expect(worstDigits(minimum.parameters, certified.parameters)).toBeGreaterThan(7);
      expect(
        matchingDigits(minimum.residualSumOfSquares, certified.residualSumOfSquares),
      ).toBeGreaterThan(7);

      const variance = minimum.residualSumOfSquares / certified.degreesOfFreedom;
      expect(
        matchingDigits(Math.sqrt(variance), certified.residualStandardDeviation),
      ).toBeGreaterThan(7);
      const covariance = solveLinear(
        problem.jacobian(minimum.parameters),
        set.y.map(() => 0),
      ).unscaledCovariance();
      const deviations = certified.parameters.map((_value, j) =>
        Math.sqrt(variance * (covariance?.[j]?.[j] ?? Number.NaN)),
      );
      expect(worstDigits(deviations, certified.standardDeviations)).toBeGreaterThan(6);
    });
  });
});
