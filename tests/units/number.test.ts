import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type DecimalMark, readNumber } from '../../src/units/number.js';

function outcome(text: string, decimal: DecimalMark = '.'): number | string {
  const reading = readNumber(text, decimal);
  return reading.ok ? reading.value : reading.problem;
}

describe('numbers that are understood', () => {
  test.each([
    ['19.98', 19.98],
    ['.98', 0.98],
    ['19.', 19],
    ['007', 7],
    ['+3', 3],
    ['-3.5', -3.5],
    ['\u22123.5', -3.5],
    ['1.998E+01', 19.98],
    ['2e1', 20],
    [' 19.98\u00a0', 19.98],
    ['\u200e19.98\u200f', 19.98],
    ['1 250', 1250],
    ['1\u202f250.5', 1250.5],
    ['12 345 678', 12345678],
    ['1,250.5', 1250.5],
    ['25/32', 0.78125],
    ['25\u204432', 0.78125],
    ['25\u221532', 0.78125],
    ['1 3/16', 1.1875],
    ['1-3/16', 1.1875],
    ['1\u20133/16', 1.1875],
    ['-1 3/16', -1.1875],
    ['1 3 / 16', 1.1875],
    ['37/32', 1.15625],
    ['¾', 0.75],
    ['1¾', 1.75],
    ['1 ¾', 1.75],
    ['1-¾', 1.75],
    ['1³⁄₁₆', 1.1875],
    ['³⁄₁₆', 0.1875],
    ['1 125 000', 1125000],
    ['1-125/128', 1.9765625],
  ])('%j', (text, value) => {
    expect(outcome(text)).toBe(value);
  });

  test.each([
    ['19,98', 19.98],
    [',5', 0.5],
    ['1,998E+01', 19.98],
    ['1,234', 1.234],
    ['1.234,5', 1234.5],
    ['1 234,5', 1234.5],
    ['1 3/16', 1.1875],
    ['20', 20],
  ])('%j with a decimal comma', (text, value) => {
    expect(outcome(text, ',')).toBe(value);
  });

  test('minus zero is zero', () => {
    expect(Object.is(outcome('-0'), 0)).toBe(true);
  });
});

describe('texts that are no number', () => {
  test.each([
    ['', 'empty'],
    ['\u00a0\u200b', 'empty'],
    ['19,98', 'other-mark'],
    ['1,250', 'other-mark'],
    ['1.234,5', 'other-mark'],
    ['1 125/128', 'two-readings'],
    ['1 - 3/4', 'two-readings'],
    ['1e999', 'too-large'],
    ...[
      '0x1F',
      'NaN',
      'Infinity',
      '-Infinity',
      'abc',
      '.',
      '-',
      '1/0',
      '1/',
      '/2',
      '1 17/16',
      '1.5/2',
      '1.5 3/16',
      '1 2/3/4',
      '1  250',
      '1 25',
      '1 2500',
      '0 250',
      '19.9.8',
      '1.250.5',
      '12,34,567.5',
      '19.98 19.99',
      '--3',
      '1_000',
      "1'250",
      '٣٫٥',
      '²',
    ].map((text): [string, string] => [text, 'not-a-number']),
  ])('%j: %s', (text, problem) => {
    expect(outcome(text)).toBe(problem);
  });

  test('a decimal point in a file with decimal commas', () => {
    expect(outcome('19.98', ',')).toBe('other-mark');
    expect(outcome('1.234', ',')).toBe('other-mark');
  });
});

test('any number of nine decimals comes back, with either mark and grouped or not', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: -1e15, max: 1e15 }),
      fc.constantFrom<DecimalMark>('.', ','),
      fc.boolean(),
      (billionths, mark, grouped) => {
        const digits = String(Math.abs(billionths)).padStart(10, '0');
        const whole = digits.slice(0, -9);
        const shown = grouped ? whole.replace(/\B(?=(\d{3})+$)/g, ' ') : whole;
        const text = `${billionths < 0 ? '-' : ''}${shown}${mark}${digits.slice(-9)}`;
        expect(outcome(text, mark)).toBeCloseTo(billionths / 1e9, 9);
      },
    ),
  );
});

test('whatever is typed, the answer is a finite number or a reason', () => {
  const strokes = fc.constantFrom(...'0123456789.,-+/ eE¾\u2044\u2212x');
  fc.assert(
    fc.property(
      fc.string({ unit: strokes, maxLength: 8 }),
      fc.constantFrom<DecimalMark>('.', ','),
      (text, mark) => {
        const reading = readNumber(text, mark);
        expect(reading.ok ? Number.isFinite(reading.value) : reading.problem).toBeTruthy();
      },
    ),
  );
});
