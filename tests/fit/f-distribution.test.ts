import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fCdf, tCdf } from '../../src/fit/distributions.js';

/*
 * NIST/SEMATECH e-Handbook 1.3.6.7.3, upper critical values of the F distribution, from memory;
 * scipy 1.17 gives the same to the last digit printed.
 */
const PRINTED = [
  { above: 1, below: 1, p: 0.9, value: 39.863 },
  { above: 5, below: 10, p: 0.9, value: 2.522 },
  { above: 2, below: 30, p: 0.9, value: 2.489 },
  { above: 1, below: 1, p: 0.95, value: 161.448 },
  { above: 2, below: 1, p: 0.95, value: 199.5 },
  { above: 1, below: 10, p: 0.95, value: 4.965 },
  { above: 5, below: 10, p: 0.95, value: 3.326 },
  { above: 10, below: 10, p: 0.95, value: 2.978 },
  { above: 20, below: 20, p: 0.95, value: 2.124 },
  { above: 8, below: 18, p: 0.95, value: 2.51 },
  { above: 4, below: 100, p: 0.95, value: 2.463 },
  { above: 3, below: 7, p: 0.99, value: 8.451 },
  { above: 1, below: 10, p: 0.99, value: 10.044 },
  { above: 5, below: 10, p: 0.99, value: 5.636 },
  { above: 10, below: 20, p: 0.99, value: 3.368 },
  { above: 20, below: 100, p: 0.99, value: 2.067 },
];

const freedoms = fc.integer({ min: 1, max: 300 });
const ratios = fc.double({ min: 1e-3, max: 1e3, noNaN: true });

describe('the F distribution', () => {
  it.each(PRINTED)(
    'has the printed critical value $value of $above and $below degrees of freedom at $p',
    ({ above, below, p, value }) => {
      expect(fCdf(value - 0.0005, above, below)).toBeLessThan(p);
      expect(fCdf(value + 0.0005, above, below)).toBeGreaterThan(p);
    },
  );

  it('is that of t² with one degree of freedom above', () => {
    fc.assert(
      fc.property(ratios, freedoms, (ratio, below) => {
        const both = 1 - 2 * (1 - tCdf(Math.sqrt(ratio), below));
        expect(Math.abs(fCdf(ratio, 1, below) - both)).toBeLessThan(1e-12);
      }),
    );
  });

  it('is exact with two degrees of freedom above or below', () => {
    fc.assert(
      fc.property(ratios, freedoms, (ratio, other) => {
        const above = 1 - (1 + (2 * ratio) / other) ** (-other / 2);
        expect(Math.abs(fCdf(ratio, 2, other) - above)).toBeLessThan(1e-11);
        const below = (1 + 2 / (other * ratio)) ** (-other / 2);
        expect(Math.abs(fCdf(ratio, other, 2) - below)).toBeLessThan(1e-11);
      }),
    );
  });

  it('turns round with the ratio', () => {
    fc.assert(
      fc.property(ratios, freedoms, freedoms, (ratio, above, below) => {
        const turned = 1 - fCdf(1 / ratio, below, above);
        expect(Math.abs(fCdf(ratio, above, below) - turned)).toBeLessThan(1e-11);
      }),
    );
  });

  it('is a half at 1 where both have the same degrees of freedom', () => {
    for (const freedom of [1, 2, 7, 30, 300, 3000]) {
      expect(fCdf(1, freedom, freedom)).toBeCloseTo(0.5, 11);
    }
  });

  it('is nothing at no ratio, and grows', () => {
    expect(fCdf(0, 3, 4)).toBe(0);
    expect(fCdf(-1, 3, 4)).toBe(0);
    let before = 0;
    for (let ratio = 0.05; ratio < 20; ratio *= 1.2) {
      const here = fCdf(ratio, 5, 9);
      expect(here).toBeGreaterThan(before);
      before = here;
    }
    expect(before).toBeLessThan(1);
  });
});
