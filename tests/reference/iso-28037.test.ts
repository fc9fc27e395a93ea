import { describe, expect, it } from 'vitest';
import { solveLinear } from '../../src/fit/least-squares.js';
import { fixture, halfUnit } from './fixture.js';

interface Example {
  readonly name: string;
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly uY: readonly number[];
  readonly uncertainty: 'known' | 'from scatter';
  readonly published: {
    readonly intercept: number;
    readonly uIntercept: number;
    readonly slope: number;
    readonly uSlope: number;
    readonly covariance: number;
    readonly chiSquare?: number;
  };
  readonly inverse?: {
    readonly y: number;
    readonly uY: number;
    readonly published: { readonly x: number; readonly uX: number };
  };
}

const { examples } = fixture<{ examples: Example[] }>('iso-28037.json');

/** The line through whitened rows; the scatter scales its covariance only where uY is relative. */
function weightedLine({ x, y, uY, uncertainty }: Example) {
  const design = x.map((value, i) => [1 / uY[i]!, value / uY[i]!]);
  const rhs = y.map((value, i) => value / uY[i]!);
  const fit = solveLinear(design, rhs);
  const scale = uncertainty === 'known' ? 1 : fit.residualSumOfSquares / (x.length - 2);
  const covariance = fit.unscaledCovariance()!.map((row) => row.map((value) => value * scale));
  const [[vA, cAB], [, vB]] = covariance as [[number, number], [number, number]];
  const [a, b] = [fit.solution[0]!, fit.solution[1]!];
  return { a, b, vA, vB, cAB, chiSquare: fit.residualSumOfSquares };
}

/*
 * ISO/TS 28037:2010, worked examples, to the three decimals printed there. The standard was not
 * seen: its figures are as a public metrology package reproduces them (fixtures/reference/SOURCE.md).
 */
describe('ISO/TS 28037 straight lines', () => {
  it('are three', () => expect(examples).toHaveLength(3));

  it.each(examples)('$name', (example) => {
    const { a, b, vA, vB, cAB, chiSquare } = weightedLine(example);
    const { published } = example;
    expect(Math.abs(a - published.intercept)).toBeLessThan(halfUnit(3));
    expect(Math.abs(Math.sqrt(vA) - published.uIntercept)).toBeLessThan(halfUnit(3));
    expect(Math.abs(b - published.slope)).toBeLessThan(halfUnit(3));
    expect(Math.abs(Math.sqrt(vB) - published.uSlope)).toBeLessThan(halfUnit(3));
    expect(Math.abs(cAB - published.covariance)).toBeLessThan(halfUnit(3));
    if (published.chiSquare !== undefined) {
      expect(Math.abs(chiSquare - published.chiSquare)).toBeLessThan(halfUnit(3));
    }
  });

  it.each(examples.filter((example) => example.inverse))('$name, used backwards', (example) => {
    const { a, b, vA, vB, cAB } = weightedLine(example);
    const { y, uY, published } = example.inverse!;
    const x = (y - a) / b;
    const u = Math.sqrt(uY ** 2 + vA + x ** 2 * vB + 2 * x * cAB) / b;
    expect(Math.abs(x - published.x)).toBeLessThan(halfUnit(3));
    expect(Math.abs(u - published.uX)).toBeLessThan(halfUnit(3));
  });
});
