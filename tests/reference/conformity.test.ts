import { describe, expect, it } from 'vitest';
import { probabilityInside, verdict } from '../../src/decide/conformity.js';
import { fixture, halfUnit } from './fixture.js';

interface Conformity {
  readonly published: readonly {
    readonly name: string;
    readonly lower: number | null;
    readonly upper: number | null;
    readonly estimate: number;
    readonly u: number;
    readonly probability: number;
    readonly digits: number;
  }[];
  readonly grid: readonly {
    readonly estimate: number;
    readonly u: number;
    readonly lower: number | null;
    readonly upper: number;
    readonly normal: number;
    readonly t3: number;
    readonly t5: number;
    readonly t10: number;
    readonly t30: number;
  }[];
}

const figures = fixture<Conformity>('conformity.json');

function probability(
  of: { estimate: number; u: number; lower: number | null; upper: number | null },
  degreesOfFreedom: number,
): number {
  const lower = of.lower ?? Number.NEGATIVE_INFINITY;
  const upper = of.upper ?? Number.POSITIVE_INFINITY;
  return probabilityInside(of.estimate, lower, upper, of.u, degreesOfFreedom);
}

/* JCGM 106:2012, clause 7, examples; the figures are from memory. */
describe('JCGM 106 examples', () => {
  it('are three', () => expect(figures.published).toHaveLength(3));

  it.each(figures.published)('$name', (example) => {
    const found = probability(example, Number.POSITIVE_INFINITY);
    expect(Math.abs(found - example.probability)).toBeLessThan(halfUnit(example.digits));
  });
});

/* Computed beforehand in other arithmetic: normal with 60 digits, Student's t in double precision. */
describe('probability inside', () => {
  it.each(figures.grid)('$estimate ± $u within [$lower, $upper]', (row) => {
    expect(probability(row, Number.POSITIVE_INFINITY)).toBeCloseTo(row.normal, 12);
    expect(probability(row, 3)).toBeCloseTo(row.t3, 12);
    expect(probability(row, 5)).toBeCloseTo(row.t5, 12);
    expect(probability(row, 10)).toBeCloseTo(row.t10, 12);
    expect(probability(row, 30)).toBeCloseTo(row.t30, 12);
  });

  it('is all or nothing for an exact value', () => {
    expect(probabilityInside(0.05, -0.05, 0.05, 0, 10)).toBe(1);
    expect(probabilityInside(0.0501, -0.05, 0.05, 0, 10)).toBe(0);
  });

  /* ISO 14253-1: a guard band of 1.645 u for 95 % against a single limit (from memory: 1.65). */
  it('reaches 95 % at a guard band of 1.645 standard uncertainties', () => {
    const known = Number.POSITIVE_INFINITY;
    const p = (estimate: number) =>
      probabilityInside(estimate, Number.NEGATIVE_INFINITY, 1, 0.1, known);
    expect(p(1 - 0.16449)).toBeGreaterThan(0.95);
    expect(p(1 - 0.16448)).toBeLessThan(0.95);
    expect(verdict(p(1 - 0.16449))).toBe('inside');
    expect(verdict(p(1 - 0.16448))).toBe('undecided');
    expect(verdict(p(1 + 0.16448))).toBe('undecided');
    expect(verdict(p(1 + 0.16449))).toBe('outside');
  });
});

describe('verdict', () => {
  it.each([
    [1, 'inside'],
    [0.95, 'inside'],
    [0.9499, 'undecided'],
    [0.5, 'undecided'],
    [0.0501, 'undecided'],
    [0.05, 'outside'],
    [0, 'outside'],
  ] as const)('of %d is %s', (p, expected) => expect(verdict(p)).toBe(expected));
});
