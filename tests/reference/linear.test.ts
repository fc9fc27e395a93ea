import { describe, expect, it, test } from 'vitest';
import { solveLinear } from '../../src/fit/least-squares.js';
import { fixture, matchingDigits, worstDigits } from './fixture.js';

interface LinearSet {
  readonly name: string;
  readonly model:
    | { readonly kind: 'polynomial'; readonly degree: number }
    | { readonly kind: 'through-origin' }
    | { readonly kind: 'columns' };
  readonly x: readonly (number | readonly number[])[];
  readonly y: readonly number[];
  readonly certified: {
    readonly parameters: readonly number[];
    readonly standardDeviations: readonly number[];
    readonly residualSumOfSquares: number;
    readonly degreesOfFreedom: number;
  };
}

const sets = new Map(fixture<LinearSet[]>('strd-linear.json').map((set) => [set.name, set]));

function designRow({ model }: LinearSet, x: number | readonly number[]): number[] {
  if (typeof x !== 'number') return [1, ...x];
  if (model.kind !== 'polynomial') return [x];
  return Array.from({ length: model.degree + 1 }, (_, power) => x ** power);
}

function solve(name: string) {
  const set = sets.get(name)!;
  const design = set.x.map((x) => designRow(set, x));
  const fit = solveLinear(design, set.y);
  const covariance = fit.unscaledCovariance();
  const variance = fit.residualSumOfSquares / set.certified.degreesOfFreedom;
  const standardDeviations = set.certified.parameters.map((_, j) =>
    Math.sqrt(variance * (covariance?.[j]?.[j] ?? Number.NaN)),
  );
  return { certified: set.certified, fit, standardDeviations };
}

/*
 * NIST/ITL Statistical Reference Datasets, linear least squares: certified to 15 digits. How many of
 * them double precision can reach depends on the set's conditioning; the digits asked for here are
 * those that a column-scaled QR attains.
 */
describe('NIST StRD linear sets', () => {
  test.each([
    { name: 'Norris', parameters: 12, deviations: 12, residuals: 12 },
    { name: 'Pontius', parameters: 12, deviations: 12, residuals: 12 },
    { name: 'NoInt1', parameters: 12, deviations: 12, residuals: 12 },
    { name: 'NoInt2', parameters: 12, deviations: 12, residuals: 12 },
    { name: 'Longley', parameters: 10.9, deviations: 11, residuals: 11 },
    { name: 'Filip', parameters: 7.5, deviations: 7.5, residuals: 7 },
    { name: 'Wampler3', parameters: 9, deviations: 9, residuals: 9 },
    { name: 'Wampler4', parameters: 7.5, deviations: 9, residuals: 9 },
    { name: 'Wampler5', parameters: 5.5, deviations: 9, residuals: 9 },
  ])('$name', ({ name, parameters, deviations, residuals }) => {
    const { certified, fit, standardDeviations } = solve(name);
    expect(fit.rank).toBe(certified.parameters.length);
    expect(worstDigits(fit.solution, certified.parameters)).toBeGreaterThan(parameters);
    expect(worstDigits(standardDeviations, certified.standardDeviations)).toBeGreaterThan(
      deviations,
    );
    expect(
      matchingDigits(fit.residualSumOfSquares, certified.residualSumOfSquares),
    ).toBeGreaterThan(residuals);
  });

  test.each([
    { name: 'Wampler1', digits: 9, largestDeviation: 1e-8 },
    { name: 'Wampler2', digits: 12, largestDeviation: 1e-12 },
  ])('$name, an exact polynomial: certified deviations are 0', (asked) => {
    const { certified, fit, standardDeviations } = solve(asked.name);
    expect(fit.rank).toBe(6);
    expect(worstDigits(fit.solution, certified.parameters)).toBeGreaterThan(asked.digits);
    expect(Math.max(...standardDeviations)).toBeLessThan(asked.largestDeviation);
  });

  it('refuses a covariance for a column that repeats another', () => {
    const fit = solveLinear(
      [
        [1, 2, 4],
        [1, 3, 6],
        [1, 5, 10],
        [1, 7, 14],
      ],
      [1, 2, 3, 5],
    );
    expect(fit.rank).toBe(2);
    expect(fit.unscaledCovariance()).toBeNull();
  });
});
