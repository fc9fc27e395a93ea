import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { multiple, parseFraction, simplestFraction } from '../../src/units/fraction.js';

describe('parseFraction', () => {
  test.each([
    ['3', 3, 1],
    ['0.0625', 1, 16],
    ['.5', 1, 2],
    ['2/4', 1, 2],
    ['1 1/4', 5, 4],
    ['1-3/16', 19, 16],
    ['-1 1/4', -5, 4],
    ['\u2212¾', -3, 4],
    ['1¾', 7, 4],
    ['25⁄32', 25, 32],
    ['0', 0, 1],
  ])('%s', (text, numerator, denominator) => {
    expect(parseFraction(text)).toEqual({ numerator, denominator });
  });

  test.each([
    '',
    ' ',
    '1/0',
    '1 5/4',
    '1.5/2',
    '1/2/3',
    '1,5',
    '1e3',
    'one',
    '--1',
    '12345678901234567',
    '1 - 1/4',
    '5.',
  ])('refuses "%s"', (text) => {
    expect(parseFraction(text)).toBeNull();
  });
});

test('a fraction is found again from its floating-point value', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 360 }), fc.integer({ min: -2000, max: 2000 }), (d, n) => {
      const found = simplestFraction(n / d, 360)!;
      expect(found.numerator * d).toBe(n * found.denominator + 0);
      expect(Math.abs(found.denominator)).toBeLessThanOrEqual(d);
    }),
  );
});

test('a number that is no simple fraction stays none', () => {
  expect(simplestFraction(Math.PI, 360)).toBeNull();
  expect(simplestFraction(0.0123, 360)).toBeNull();
  expect(simplestFraction(Number.NaN, 360)).toBeNull();
});

test('whole multiples are exact and in lowest terms', () => {
  expect(multiple({ numerator: 1, denominator: 16 }, 20)).toEqual({ numerator: 5, denominator: 4 });
  expect(multiple({ numerator: 1, denominator: 3 }, -6)).toEqual({
    numerator: -2,
    denominator: 1,
  });
});
