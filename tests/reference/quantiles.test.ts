import { describe, expect, it } from 'vitest';
import {
  chiSquareCdf,
  normalCdf,
  normalQuantile,
  tCdf,
  tQuantile,
} from '../../src/fit/distributions.js';
import { fixture, halfUnit, matchingDigits } from './fixture.js';

interface Quantiles {
  readonly tProbabilities: readonly number[];
  readonly t: readonly {
    readonly degreesOfFreedom: number;
    readonly exact: readonly number[];
    readonly printed: readonly (number | null)[];
  }[];
  readonly tFractional: readonly { degreesOfFreedom: number; p: number; exact: number }[];
  readonly gumG2: readonly {
    readonly degreesOfFreedom: number;
    readonly coverage: number;
    readonly printed: number;
    readonly exact: number;
  }[];
  readonly normal: readonly { readonly p: number; readonly exact: number }[];
  readonly chiSquare: readonly {
    readonly degreesOfFreedom: number;
    readonly p: readonly number[];
    readonly exact: readonly number[];
  }[];
  readonly chiSquareLowerPrinted: readonly {
    readonly degreesOfFreedom: number;
    readonly exceeding: readonly number[];
    readonly printed: readonly number[];
  }[];
}

const figures = fixture<Quantiles>('quantiles.json');

/* Exact: 40-digit arithmetic, see fixtures/reference/SOURCE.md. */
describe('exact quantiles', () => {
  it.each(figures.t)("Student's t, $degreesOfFreedom degrees of freedom", (row) => {
    figures.tProbabilities.forEach((p, i) => {
      const exact = row.exact[i]!;
      expect(matchingDigits(tQuantile(p, row.degreesOfFreedom), exact)).toBeGreaterThan(12);
      expect(matchingDigits(tQuantile(1 - p, row.degreesOfFreedom), -exact)).toBeGreaterThan(11);
      expect(Math.abs(tCdf(exact, row.degreesOfFreedom) - p)).toBeLessThan(1e-13);
    });
  });

  it.each(figures.tFractional)("Student's t, $degreesOfFreedom degrees of freedom", (row) => {
    expect(matchingDigits(tQuantile(row.p, row.degreesOfFreedom), row.exact)).toBeGreaterThan(12);
  });

  it.each(figures.normal)('normal, p = $p', ({ p, exact }) => {
    expect(matchingDigits(normalQuantile(p), exact)).toBeGreaterThan(9);
    expect(Math.abs(normalCdf(exact) - p)).toBeLessThan(1e-14);
    expect(tQuantile(p, Number.POSITIVE_INFINITY)).toBe(normalQuantile(p));
    expect(tCdf(exact, Number.POSITIVE_INFINITY)).toBe(normalCdf(exact));
  });

  it.each(figures.chiSquare)('χ², $degreesOfFreedom degrees of freedom', (row) => {
    row.p.forEach((p, i) => {
      expect(Math.abs(chiSquareCdf(row.exact[i]!, row.degreesOfFreedom) - p)).toBeLessThan(1e-13);
    });
  });
});

describe('printed tables', () => {
  /* NIST/SEMATECH e-Handbook of Statistical Methods 1.3.6.7.2: upper critical values of t. */
  it.each(figures.t)('NIST handbook, t with $degreesOfFreedom degrees of freedom', (row) => {
    row.printed.forEach((printed, i) => {
      if (printed === null) return;
      const found = tQuantile(figures.tProbabilities[i]!, row.degreesOfFreedom);
      expect(Math.abs(found - printed)).toBeLessThan(halfUnit(3));
    });
  });

  /* NIST/SEMATECH e-Handbook 1.3.6.7.4: lower critical values of χ², printed to three decimals. */
  it.each(figures.chiSquareLowerPrinted)('NIST handbook, χ² with $degreesOfFreedom', (row) => {
    row.printed.forEach((printed, i) => {
      const lower = 1 - row.exceeding[i]!;
      expect(chiSquareCdf(printed - 0.00051, row.degreesOfFreedom)).toBeLessThan(lower);
      expect(chiSquareCdf(printed + 0.00051, row.degreesOfFreedom)).toBeGreaterThan(lower);
    });
  });

  /* JCGM 100:2008, table G.2: t for a two-sided coverage. */
  it.each(figures.gumG2)('JCGM 100 G.2, ν = $degreesOfFreedom, $coverage', (row) => {
    const found = tQuantile((1 + row.coverage) / 2, row.degreesOfFreedom);
    expect(matchingDigits(found, row.exact)).toBeGreaterThan(8);
    expect(Math.abs(found - row.printed)).toBeLessThan(row.printed > 100 ? 0.05 : halfUnit(2));
  });
});
